using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What no model of a microphone explains, as a share of the sound itself at every frequency.</summary>
/// <remarks>
/// Thread: [any]. Model errors grow with the signal, not with the noise: they decide where the hall is quiet. The share has a floor and
/// grows to both ends of the band. Times the click's own spectrum it gives the spectrum of what is left over, and that the
/// autocovariance which the fit takes for one more noise, as loud at every moment as the click is then.
/// </remarks>
/// <param name="Floor">The least share.</param>
/// <param name="LowHz">Where the share would reach 1, growing towards the bass as 1/f.</param>
/// <param name="HighHz">Where it would reach 1, growing towards the treble as a power of f.</param>
/// <param name="Steepness">That power.</param>
public readonly record struct Misfit(double Floor, double LowHz, double HighHz, double Steepness)
{
    /// <summary>What a smooth response leaves unexplained between two microphones; above the band that a delay is weighed in, nothing is to depend on it.</summary>
    public static readonly Misfit OfResponse = new(0.015, 10, 9000, 4);

    /// <summary>The same where only what lies below 3 kHz is to speak: there a source of any width is nearly one, and a period is long.</summary>
    public static readonly Misfit OfAlignment = new(0.015, 10, 3000, 4);

    /// <summary>
    /// What the array's model leaves unexplained in one capsule: ±1 dB of response, patterns that turn omni below some hundred hertz and gain
    /// higher orders above some kilohertz, capsules that stand in each other's way, places that are off. Common practice, no source.
    /// </summary>
    public static readonly Misfit OfCapsule = new(0.04, 20, 9000, 2);

    /// <summary>So many times as much at every frequency.</summary>
    public Misfit Times(double factor) => new(Floor * factor, LowHz * factor, HighHz * Math.Pow(factor, -1 / Steepness), Steepness);

    /// <summary>Autocovariance over the lags 0..count−1 for a click of mean square 1.</summary>
    public double[] Autocovariance(SpotClick click, Transform transform, double sampleRateHz, int count)
    {
        var bins = new System.Numerics.Complex[transform.BinCount];
        var power = 1e-300;
        for (var k = 1; k < bins.Length; k++)
        {
            var square = SquaredMagnitude.Of(click.Spectrum[k]);
            var hz = k * sampleRateHz / transform.Size;
            var (low, high) = (Math.Min(LowHz / hz, 1), Math.Pow(hz / HighHz, Steepness));
            bins[k] = square * (Floor * Floor + low * low + Math.Min(high * high, 1));
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
