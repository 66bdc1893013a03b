namespace CaptureProc.Analysis.Clicks;

/// <summary>One click with everything that was found out about it.</summary>
/// <param name="TimeSeconds">When it is first heard, in the array or in any spot.</param>
/// <param name="Onsets">When and how loud each spot hears it; null where it does not. Working rate.</param>
/// <param name="Arrivals">What it says about a spot; null for spots it was not measured for, or could not be.</param>
public sealed record ClickObservation(
    ClickEvent Event, double TimeSeconds, IReadOnlyList<SpotOnset?> Onsets, Arrival?[] Arrivals)
{
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
