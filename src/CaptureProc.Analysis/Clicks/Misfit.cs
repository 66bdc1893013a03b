using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What no model of a microphone explains, as a share of the sound itself at every frequency.</summary>
/// <remarks>
/// Thread: [any]. Model errors grow with the signal, not with the noise: they decide where the hall is quiet. The share rises with
/// frequency, from LowShare to HighShare about a corner; times the click's own spectrum it gives the spectrum of what is left over, and
/// that the autocovariance which the fit takes for one more noise, as loud at every moment as the click is then.
/// </remarks>
/// <param name="LowShare">Well below the corner.</param>
/// <param name="HighShare">Well above it.</param>
/// <param name="CornerHz">Half way between, on a logarithmic scale of shares.</param>
public readonly record struct Misfit(double LowShare, double HighShare, double CornerHz)
{
    /// <summary>What a smooth response leaves unexplained between two microphones; above the band that a delay is weighed in, nothing is to depend on it.</summary>
    public static readonly Misfit OfResponse = new(0.008, 1, 10000);

    /// <summary>
    /// What the array's model leaves unexplained in one capsule: ±1 dB of response low down, and above some kilohertz patterns of a higher order,
    /// capsules that stand in each other's way, places that are off. Common practice, no source.
    /// </summary>
    public static readonly Misfit OfCapsule = new(0.03, 0.4, 4500);

    /// <summary>Autocovariance over the lags 0..count−1 for a click of mean square 1.</summary>
    public double[] Autocovariance(SpotClick click, Transform transform, double sampleRateHz, int count)
    {
        var bins = new System.Numerics.Complex[transform.BinCount];
        var power = 1e-300;
        for (var k = 1; k < bins.Length; k++)
        {
            var square = SquaredMagnitude.Of(click.Spectrum[k]);
            var octaves = Math.Log2(k * sampleRateHz / transform.Size / CornerHz);
            var share = LowShare * Math.Pow(HighShare / LowShare, 1 / (1 + Math.Exp(-2.5 * octaves)));
            bins[k] = square * share * share;
            power += square;
        }
        var covariance = transform.Inverse(bins);
        var result = covariance.AsSpan(0, count).ToArray();
        for (var n = 0; n < count; n++)
            result[n] *= 0.5 * transform.Size / power;
        // White as well, by a tenth: a click without treble must not leave its treble certain.
        result[0] *= 1.02;
        return result;
    }
}
