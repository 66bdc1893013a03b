namespace CaptureProc.Dsp.Loudness;

/// <summary>One second-order section, a0 normalised to 1: y = b0·x + b1·x₁ + b2·x₂ − a1·y₁ − a2·y₂.</summary>
public readonly record struct BiquadCoefficients(double B0, double B1, double B2, double A1, double A2);

/// <summary>The two sections of K-weighting: a shelf for the head, then a high-pass for the ear's deafness to lows.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// The standard tabulates 48 kHz only. Other rates come from the analogue prototype behind that table (a bilinear transform
/// with the frequency pre-warped), so that 48 kHz gives the table back and the curve stays put at every rate.
/// Source: ITU-R BS.1770-5 Annex 1, tables 1 and 2; prototype as in libebur128.
/// </remarks>
public static class KWeighting
{
    private const double ShelfHz = 1681.974450955533;
    private const double ShelfGainDb = 3.999843853973347;
    private const double ShelfQ = 0.7071752369554196;
    private const double ShelfBandExponent = 0.4996667741545416;
    private const double HighPassHz = 38.13547087602444;
    private const double HighPassQ = 0.5003270373238773;

    /// <summary>Below this rate the shelf's corner comes too near the Nyquist frequency to keep its shape.</summary>
    public const double MinSampleRateHz = 8000;

    public static BiquadCoefficients Shelf(double sampleRateHz)
    {
        var k = WarpedFrequency(ShelfHz, sampleRateHz);
        var high = Math.Pow(10, ShelfGainDb / 20);
        var band = Math.Pow(high, ShelfBandExponent);
        var a0 = 1 + k / ShelfQ + k * k;
        return new BiquadCoefficients(
            (high + band * k / ShelfQ + k * k) / a0,
            2 * (k * k - high) / a0,
            (high - band * k / ShelfQ + k * k) / a0,
            2 * (k * k - 1) / a0,
            (1 - k / ShelfQ + k * k) / a0);
    }

    /// <summary>
    /// At 48 kHz the numerator is the standard's 1, −2, 1, which lifts the pass band by 0.043 dB; that hair belongs to the −0.691 of
    /// the sum. The standard asks for the same response at other rates, so there the numerator is scaled to the same lift.
    /// </summary>
    public static BiquadCoefficients HighPass(double sampleRateHz)
    {
        var (a1, a2) = HighPassPoles(sampleRateHz);
        var (tabulated1, tabulated2) = HighPassPoles(48_000);
        var gain = (1 - a1 + a2) / (1 - tabulated1 + tabulated2);
        return new BiquadCoefficients(gain, -2 * gain, gain, a1, a2);
    }

    private static (double A1, double A2) HighPassPoles(double sampleRateHz)
    {
        var k = WarpedFrequency(HighPassHz, sampleRateHz);
        var a0 = 1 + k / HighPassQ + k * k;
        return (2 * (k * k - 1) / a0, (1 - k / HighPassQ + k * k) / a0);
    }

    private static double WarpedFrequency(double frequencyHz, double sampleRateHz)
    {
        if (!(sampleRateHz >= MinSampleRateHz))
            throw new ArgumentOutOfRangeException(nameof(sampleRateHz), sampleRateHz, $"K-weighting needs at least {MinSampleRateHz} Hz.");
        return Math.Tan(Math.PI * frequencyHz / sampleRateHz);
    }
}
