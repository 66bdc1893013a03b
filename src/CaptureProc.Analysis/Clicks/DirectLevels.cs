using CaptureProc.Analysis.Fitting;

namespace CaptureProc.Analysis.Clicks;

/// <summary>How loud the direct sound of a click is in W, against the background and against the room.</summary>
/// <param name="SnrDb">Its peak over the RMS of the background just before, in W by the plain matrix: correction lifts noise, not sound.</param>
/// <param name="DirectToReverberantDb">Its energy over that of everything later; null where that drowns in the background. Both from about 120 Hz up.</param>
public readonly record struct DirectLevels(double SnrDb, double? DirectToReverberantDb)
{
    // The room's answer is taken to decay evenly from here on, so that what lies beyond the excerpt can be added.
    private const double EvenFromSeconds = 0.04;

    /// <param name="excerpt">The array.</param>
    /// <param name="direct">The click as the spot heard it, at the time of its arrival.</param>
    /// <param name="amplitude">Reference over spot.</param>
    /// <param name="start">Sample of the excerpt at direct[0].</param>
    /// <param name="sampleRateHz">Working rate.</param>
    public static DirectLevels Of(ArrayExcerpt excerpt, double[] direct, double amplitude, int start, double sampleRateHz)
    {
        var w = excerpt.W;
        var background = MeanSquare(w);
        var peak = 0.0;
        foreach (var sample in direct)
            peak = Math.Max(peak, Math.Abs(amplitude * sample));
        var directEnergy = amplitude * amplitude * Energy(direct);

        // The last samples are left out: the filters wrap round there.
        var end = Excerpts.Size - 400;
        var even = Math.Min(start + (int)(EvenFromSeconds * sampleRateHz), end - 200);
        var middle = (even + end) / 2;
        var early = Above(w.AsSpan(even, middle - even), background);
        var late = Above(w.AsSpan(middle, end - middle), background);
        var ratio = Math.Clamp(late / Math.Max(early, 1e-30), 0, 0.97);
        var beyond = late * ratio / (1 - ratio);
        var total = Above(w.AsSpan(start, end - start), background) + beyond;
        var reverberant = total - directEnergy;
        // What a background of that level may add to or take off an energy by chance; coloured noise varies more than white.
        var doubt = background * Math.Sqrt(2 * 4.0 * (end - start));
        return new DirectLevels(
            20 * Math.Log10(peak / Math.Sqrt(MeanSquare(excerpt.PlainW))),
            reverberant > 4 * doubt ? 10 * Math.Log10(directEnergy / reverberant) : null);
    }

    private static double MeanSquare(double[] reference)
    {
        var quiet = reference.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom);
        return Math.Max(1e-20, Energy(quiet) / quiet.Length);
    }

    private static double Energy(ReadOnlySpan<double> x) => CholeskyFactor.Dot(x, x);

    private static double Above(ReadOnlySpan<double> x, double background) => Math.Max(0, Energy(x) - background * x.Length);
}
