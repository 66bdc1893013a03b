namespace CaptureProc.Analysis.Clicks;

/// <summary>One sudden sound, wherever it was heard.</summary>
/// <param name="Frame">Where it is heard first, to the block.</param>
/// <param name="FirstSpot">The spot that hears it first, to the block; of several, the one it stands out in most.</param>
/// <param name="Prominence">How far it stands out there.</param>
public readonly record struct ClickEvent(long Frame, int FirstSpot, double Prominence);

/// <summary>Puts together what is heard of one sound in several channels.</summary>
public static class ClickEvents
{
    /// <summary>Sound crosses 25 m in this time; what follows sooner belongs to the same sound.</summary>
    private const double TogetherSeconds = 0.075;

    /// <summary>What is nearest stands out most, so the first to hear a clap is never this far below the others (−15 dB).</summary>
    private const double ForerunnerShare = 0.03;

    /// <summary>Talk can be as sudden as a clap. The most prominent sounds at each spot are enough to find its claps among.</summary>
    public const int MostPerSpot = 10;

    /// <param name="onsets">Onsets of each channel in order of time: the spots, then the array.</param>
    /// <param name="spotCount">How many of the channels are spots.</param>
    /// <param name="sampleRateHz">Rate of the recording.</param>
    public static List<ClickEvent> Gather(IReadOnlyList<List<Onset>> onsets, int spotCount, double sampleRateHz)
    {
        var all = new List<(Onset Onset, int Channel)>();
        for (var channel = 0; channel < onsets.Count; channel++)
            foreach (var onset in onsets[channel])
                all.Add((onset, channel));
        all.Sort((a, b) => a.Onset.Frame.CompareTo(b.Onset.Frame));

        var together = (long)(TogetherSeconds * sampleRateHz);
        RemoveForerunners(all, together);
        var events = new List<ClickEvent>();
        for (var first = 0; first < all.Count;)
        {
            var (start, end) = (all[first].Onset.Frame, first);
            var (best, bestFrame) = (default((Onset Onset, int Channel)?), long.MaxValue);
            for (; end < all.Count && all[end].Onset.Frame - start <= together; end++)
            {
                if (all[end].Channel >= spotCount)
                    continue;
                var (onset, _) = all[end];
                if (onset.Frame < bestFrame || (onset.Frame == bestFrame && onset.Prominence > best!.Value.Onset.Prominence))
                    (best, bestFrame) = (all[end], onset.Frame);
            }
            if (best is { } heard)
                events.Add(new ClickEvent(start, heard.Channel, heard.Onset.Prominence));
            first = end;
        }
        return events;
    }

    /// <summary>Takes out what stands out far less than something that follows at once: noise that a clap happens to cut short.</summary>
    private static void RemoveForerunners(List<(Onset Onset, int Channel)> all, long together)
    {
        for (var i = all.Count - 1; i >= 0; i--)
            for (var j = i + 1; j < all.Count && all[j].Onset.Frame - all[i].Onset.Frame <= together; j++)
                if (all[j].Onset.Prominence * ForerunnerShare > all[i].Onset.Prominence)
                {
                    all.RemoveAt(i);
                    break;
                }
    }

    /// <summary>The most prominent events at each spot, in order of time.</summary>
    public static List<ClickEvent> MostProminent(List<ClickEvent> events) =>
    [
        .. events.GroupBy(e => e.FirstSpot)
            .SelectMany(g => g.OrderByDescending(e => e.Prominence).Take(MostPerSpot))
            .OrderBy(e => e.Frame),
    ];
}
