using CaptureProc.Analysis.Clicks;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Measuring;

/// <summary>Spots whose channel is dead, and what that does to their neighbours.</summary>
/// <remarks>
/// A clap is taken to be made at the spot that hears it first. With that spot's microphone dead it is a neighbour, which then seems
/// to have claps at two places. Which of them is its own, nobody can tell.
/// </remarks>
public static class DeafSpots
{
    private const double MostConfidence = 0.5;

    /// <summary>For every deaf spot, by id, its channel and why.</summary>
    public static IReadOnlyDictionary<string, string> Find(SessionDocument session, ArrayEntry array, ChannelWatch watch)
    {
        var stage = session.Spots.SelectMany(s => s.Channels).Concat(array.Channels).Select(c => c - 1).Distinct().ToList();
        var deaf = new Dictionary<string, string>();
        foreach (var spot in session.Spots)
            foreach (var channel in spot.Channels)
                if (watch.Deafness(channel - 1, stage) is { } why)
                    deaf[spot.Id] = $"its channel {channel} is dead ({why}): check cable, microphone and power, and record its clap again";
        return deaf;
    }

    /// <summary>The results as far as they can be believed where some spots are deaf.</summary>
    /// <param name="results">As measured.</param>
    /// <param name="clicks">With the spot that each was taken to be made at.</param>
    /// <param name="deaf">From <see cref="Find"/>.</param>
    public static IReadOnlyList<SpotResult> Doubt(
        IReadOnlyList<SpotResult> results, IReadOnlyList<ClickEntry> clicks, IReadOnlyDictionary<string, string> deaf) => deaf.Count == 0 ? results :
    [
        .. results.Select(result => deaf.TryGetValue(result.Id, out var why) ? new SpotResult(result.Id) { Note = why }
            : result.DelaySamples is not null && clicks.Count(c => c.Spot == result.Id) > result.ClickCount ? result with
            {
                Confidence = Math.Min(result.Confidence, MostConfidence),
                Note = $"claps from two places were heard here first, and one of them may belong to {string.Join(" or ", deaf.Keys)}, whose channel is dead: clap again once that is mended{(result.Note is { } note ? $"; {note}" : "")}",
            }
            : result),
    ];
}
