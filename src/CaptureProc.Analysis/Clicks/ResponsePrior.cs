namespace CaptureProc.Analysis.Clicks;

/// <summary>What the coefficients of a <see cref="SmoothResponse"/> may be: independent and normal.</summary>
public sealed record ResponsePrior(double[] Mean, double[] Sigma)
{
    /// <summary>A spot of any make beside its player.</summary>
    /// <remarks>
    /// Below the band: the proximity rise of a directional spot half a metre from its source, 343 rad/s ± 300 for patterns from 0.35 to
    /// 0.8 at 0.3 to 0.9 m, and low cuts of up to the fourth order at 150 Hz (2.6·2π·150 rad/s the other way). In the band: ±1 dB low down, where
    /// microphones agree, growing to presence rises of 8 dB and to claps that radiate 10 dB less treble to one side. Common
    /// practice, no source.
    /// </remarks>
    public static readonly ResponsePrior DirectionalSpot = Of(
        [-0.1, 0], [0.45, 0.08, 0.12, 0.12, 0.12, 0.13, 0.16, 0.2, 0.25, 0.3, 0.35, 0.4, 0.5, 0.7]);

    /// <summary>A capsule array's own W, or a beam of it: no proximity rise, and microphones of one make.</summary>
    public static readonly ResponsePrior CapsuleArray = Of(
        [0, 0], [0.05, 0.02, 0.07, 0.07, 0.07, 0.08, 0.1, 0.12, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4]);

    private static ResponsePrior Of(double[] lowMeans, double[] sigma)
    {
        var mean = new double[SmoothResponse.Count];
        lowMeans.CopyTo(mean, 0);
        return new ResponsePrior(mean, sigma);
    }
}
