namespace CaptureProc.Analysis.Patch;

/// <summary>Relative polarities from taps at capsules in turn.</summary>
/// <remarks>
/// A tap stands close to one capsule, on its axis as well as a hand can. The other three of a tetrahedron see it alike, at one
/// distance and at one angle, whatever their pattern and however strong the rise of a near source: their signals are one signal.
/// So every tap tells the three pairs that it leaves out, and every pair is told twice. Below the upper limit a hand that is two
/// centimetres off its axis still turns no pair by a quarter period.
/// </remarks>
internal static class TapPolarity
{
    private const double FromHz = 250;
    private const double ToHz = 1500;

    // Of 6 at most. Without any common signal a pair keeps a spread of 0.2, which passes this once in thousands of checks.
    private const double ClearMargin = 2.4;

    /// <summary>Polarity of each channel against the majority; null where the taps do not tell.</summary>
    /// <param name="taps">One for each entry of <paramref name="tappedChannel"/>.</param>
    /// <param name="tappedChannel">The channel whose capsule was tapped.</param>
    /// <param name="sampleRateHz">Of the recording.</param>
    public static int[]? Of(IReadOnlyList<SuddenSound> taps, IReadOnlyList<int> tappedChannel, double sampleRateHz)
    {
        var size = SuddenSounds.TransformSize(sampleRateHz);
        var (first, last) = ((int)Math.Ceiling(FromHz * size / sampleRateHz), (int)(ToHz * size / sampleRateHz));
        var alike = new double[PatchLikelihood.Capsules, PatchLikelihood.Capsules];
        for (var i = 0; i < PatchLikelihood.Capsules; i++)
        {
            for (var j = i + 1; j < PatchLikelihood.Capsules; j++)
            {
                var telling = Enumerable.Range(0, taps.Count).Where(t => tappedChannel[t] != i && tappedChannel[t] != j).ToList();
                alike[i, j] = telling.Count == 0 ? 0 : telling.Average(t => Coherence(taps[t], i, j, first, last));
            }
        }
        return RelativePolarity.Of(alike, +1, ClearMargin);
    }

    private static double Coherence(SuddenSound tap, int i, int j, int first, int last)
    {
        var (cross, own, other) = (0.0, 0.0, 0.0);
        for (var bin = first; bin <= last; bin++)
        {
            cross += tap.Re[i][bin] * tap.Re[j][bin] + tap.Im[i][bin] * tap.Im[j][bin];
            own += tap.Re[i][bin] * tap.Re[i][bin] + tap.Im[i][bin] * tap.Im[i][bin];
            other += tap.Re[j][bin] * tap.Re[j][bin] + tap.Im[j][bin] * tap.Im[j][bin];
        }
        return own > 0 && other > 0 ? cross / Math.Sqrt(own * other) : 0;
    }
}
