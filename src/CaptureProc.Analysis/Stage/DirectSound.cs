using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Stage;

/// <summary>When and how loud a far microphone hears a clap, against the spot that recorded it from close by.</summary>
/// <param name="LaterSamples">How much later, with fractions; working rate.</param>
/// <param name="Gain">Far over near, with sign; rough, since no two microphones answer alike.</param>
/// <param name="Strongest">The same of the strongest arrival, size only: a wall may be louder than the direct way.</param>
/// <param name="Significance">Amplitude over what background alone does.</param>
public readonly record struct DirectSound(double LaterSamples, double Gain, double Strongest, double Significance)
{
    /// <summary>Within this nothing that is reflected comes after the direct sound in a hall: a detour of 34 cm.</summary>
    private const double FreeSeconds = 0.001;

    private const double LeadSeconds = 0.0004;

    // Sound crosses 35 m in this time, and half a metre in that.
    private const double LongestSeconds = 0.1, EarliestSeconds = 0.0045;

    /// <summary>Null where nothing stands out of the background.</summary>
    /// <param name="far">Excerpt of the far microphone.</param>
    /// <param name="click">The clap as the near one recorded it.</param>
    /// <param name="onset">Sample of the excerpt at which it begins there.</param>
    /// <param name="sampleRateHz">Working rate.</param>
    public static DirectSound? Find(double[] far, SpotClick click, int onset, double sampleRateHz)
    {
        var earliest = Math.Max(-(int)(EarliestSeconds * sampleRateHz), Excerpts.Quiet - onset);
        if (FirstArrivalSearch.Find(far, click, onset, sampleRateHz, earliest, (int)(LongestSeconds * sampleRateHz)) is not { } first)
            return null;
        return new DirectSound(Refine(far, click, onset, first.Lag, sampleRateHz), first.Amplitude, first.Strongest, first.Significance);
    }

    /// <summary>The top of the correlation near a lag, by a parabola: a tenth of a sample is 0.7 mm, less than hands are wide.</summary>
    private static double Refine(double[] far, SpotClick click, int onset, int lag, double sampleRateHz)
    {
        const int reach = 12;
        var whitener = PredictionError.Of(far.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom));
        var (lead, length) = ((int)(LeadSeconds * sampleRateHz), (int)((LeadSeconds + FreeSeconds) * sampleRateHz));
        var template = whitener.Apply(click.Samples).AsSpan(SpotClick.Onset - lead, length);
        var from = onset - lead + lag - reach;
        if (from < 64 || from + length + 2 * reach > far.Length)
            return lag;
        var heard = whitener.Apply(far.AsSpan(from - 64, 64 + length + 2 * reach)).AsSpan(64);
        Span<double> sums = stackalloc double[2 * reach + 1];
        for (var i = 0; i < sums.Length; i++)
            sums[i] = CholeskyFactor.Dot(template, heard.Slice(i, length));
        var best = reach;
        // Uphill from where the search was: a later and louder reflection is another hill.
        var sign = Math.Sign(sums[reach]);
        while (best + 1 < sums.Length - 1 && sign * sums[best + 1] > sign * sums[best])
            best++;
        while (best - 1 > 0 && sign * sums[best - 1] > sign * sums[best])
            best--;
        var (left, top, right) = (sums[best - 1], sums[best], sums[best + 1]);
        var bend = left - 2 * top + right;
        return lag + best - reach + (bend != 0 ? Math.Clamp(0.5 * (left - right) / bend, -0.5, 0.5) : 0);
    }
}
