using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>Brings a whole signal, such as an impulse response, to another sampling rate.</summary>
public static class WholeSignalResampling
{
    /// <summary>The signal at another rate: first sample at the same time as before, as many samples as last as long.</summary>
    /// <remarks>
    /// Thread: [main]. Allocates: the result. Error: that of <see cref="Resampler"/>.
    /// An impulse response sampled more densely sums up to more: multiply by fromHz/toHz to keep its frequency response.
    /// </remarks>
    public static float[] Resample(ReadOnlySpan<float> signal, double fromHz, double toHz)
    {
        if (!(fromHz > 0 && toHz > 0))
            throw new ArgumentOutOfRangeException(nameof(toHz), $"Rates are positive; {fromHz} and {toHz} Hz were given.");
        var resampler = new Resampler(1, fromHz / toHz, Math.Max(1, signal.Length));
        // Rates are whole numbers of hertz in practice; the product that they divide exactly must not be rounded up by the quotient's error.
        var result = new float[(int)Math.Ceiling(signal.Length * toHz / fromHz - 1e-9)];
        var due = resampler.NextOutputFrames(signal.Length);
        var written = resampler.Process(Mono(signal), MonoRoom(result, due));
        Span<float> silence = stackalloc float[1];
        Span<float> frame = stackalloc float[64];
        while (written < result.Length)
        {
            var count = resampler.Process(Mono(silence), new PlanarSpan(frame, 1, frame.Length, frame.Length));
            frame[..Math.Min(count, result.Length - written)].CopyTo(result.AsSpan(written));
            written += Math.Min(count, result.Length - written);
        }

        return result;
    }

    private static ReadOnlyPlanarSpan Mono(ReadOnlySpan<float> samples) => new(samples, 1, samples.Length, samples.Length);

    private static PlanarSpan MonoRoom(Span<float> samples, int frames) => new(samples[..Math.Min(frames, samples.Length)], 1, Math.Min(frames, samples.Length), samples.Length);
}
