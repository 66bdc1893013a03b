namespace CaptureProc.Analysis.Clicks;

/// <summary>One click with everything that was found out about it.</summary>
/// <param name="TimeSeconds">When it is first heard, in the array or in any spot.</param>
/// <param name="Onsets">When and how loud each spot hears it; null where it does not. Working rate.</param>
/// <param name="Arrivals">What it says about a spot; null for spots it was not measured for, or could not be.</param>
public sealed record ClickObservation(
    ClickEvent Event, double TimeSeconds, IReadOnlyList<SpotOnset?> Onsets, Arrival?[] Arrivals)
{
    /// <summary>How far a sound may seem to need from microphone to microphone if it needs no time at all.</summary>
    private const double AtOnceSamples = 3;

    /// <summary>What the array's capsules made of it; null where the array does not hear it.</summary>
    public CapsuleCheck? Capsules { get; init; }

    /// <summary>Whether it reached every channel at once, which no sound in a room does: mains, a phantom supply, a cable.</summary>
    public bool IsElectrical =>
        SpotsByTime is [var first, ..] && Arrivals[first] is { } arrival && Math.Abs(arrival.DelaySamples) <= AtOnceSamples
        && SpotsByTime.All(s => Onsets[s]!.Value.Sample - Onsets[first]!.Value.Sample <= AtOnceSamples + 1)
        && (SpotsByTime.Length > 1 || Capsules is { AreAlike: true });

    // A noise that happens to come 50 ms before a clap must not pass for the first to hear it.
    private const double LeastShareOfLoudest = 0.02;

    /// <summary>Spots in the order in which they hear it.</summary>
    public int[] SpotsByTime { get; } = Order(Onsets);

    private static int[] Order(IReadOnlyList<SpotOnset?> onsets)
    {
        var heard = Enumerable.Range(0, onsets.Count).Where(s => onsets[s] is not null).OrderBy(s => onsets[s]!.Value.Sample).ToList();
        if (heard.Count == 0)
            return [];
        var least = LeastShareOfLoudest * heard.Max(s => onsets[s]!.Value.AboveBackground);
        return [.. heard.SkipWhile(s => onsets[s]!.Value.AboveBackground < least)];
    }
}
