namespace CaptureProc.Dsp.Delay;

/// <summary>The FIR filter that delays by a fraction of a sample: a sinc under a Kaiser window.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// Shape:  TapCount taps; y[n] = Σ taps[k]·x[n − k] is x delayed by LatencyFrames + fraction samples. Their sum is 1.
/// Unit:   fraction in samples, 0..1, both ends included. At 0 and at 1 the filter is a single 1: a whole delay is exact.
/// Error:  from 0 to 0.9 of half the sampling rate at most 0.0002 dB in magnitude, 0.00003 samples in phase delay and 0.0007
///         samples in group delay, asserted at a finer grid in FractionalDelayKernelTests.
/// Source: Laakso et al., Splitting the Unit Delay, IEEE Signal Processing Magazine 13(1), 1996 (from memory), for the family.
/// Why 68 taps: the errors come from the window's sidelobes through the gap of 0.2 of half the rate between the band's edge and its
/// first image. Group delay is the hard one, the slope of a ripple as fine as the filter is long. Scanned over β, the worst error
/// over all fractions relative to the bars (0.01 dB, 0.001 samples of phase and of group delay) is
///   taps 60: 1.86   64: 1.005   68: 0.60   72: 0.33,
/// so 68 is the shortest that passes with a margin. A least-squares design would save a fifth of the taps, but needs a
/// system of equations a fraction and has no say over what it does above the band.
/// </remarks>
public static class FractionalDelayKernel
{
    public const int TapCount = 2 * HalfLength;

    /// <summary>The whole frames that the filter is late by, whatever the fraction.</summary>
    public const int LatencyFrames = HalfLength - 1;

    internal const int HalfLength = 34;

    internal const double Beta = 10.3;

    private static readonly KaiserWindow Window = new(Beta);

    public static void Fill(double fraction, Span<float> taps)
    {
        Span<double> exact = stackalloc double[TapCount];
        Fill(fraction, exact);
        if (taps.Length < TapCount)
            throw new ArgumentException($"There is room for {taps.Length} taps; the filter has {TapCount}.", nameof(taps));
        for (var k = 0; k < TapCount; k++)
            taps[k] = (float)exact[k];
    }

    public static void Fill(double fraction, Span<double> taps)
    {
        if (!(fraction is >= 0 and <= 1))
            throw new ArgumentOutOfRangeException(nameof(fraction), fraction, "The fraction is from 0 to 1 sample.");
        if (taps.Length < TapCount)
            throw new ArgumentException($"There is room for {taps.Length} taps; the filter has {TapCount}.", nameof(taps));

        var sum = 0.0;
        for (var k = 0; k < TapCount; k++)
        {
            var distance = k - LatencyFrames - fraction;
            taps[k] = Sinc.At(distance) * Window.Evaluate(distance / HalfLength);
            sum += taps[k];
        }

        // The window leaves a few millionths of ripple at 0 Hz as everywhere; there it can be had for nothing.
        for (var k = 0; k < TapCount; k++)
            taps[k] /= sum;
    }
}
