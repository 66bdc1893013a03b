using System.Numerics;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Analysis.Placement;

/// <summary>Channels that arrive in blocks, as spectra of frames that overlap by half.</summary>
/// <remarks>
/// Thread: one at a time. Memory: one frame a channel. Shape: the first frame begins half a frame ahead of the sound and
/// <see cref="Finish"/> fills up the last, so that with the square of a sine window every sample weighs the same.
/// </remarks>
public sealed class StreamedFrames
{
    private readonly float[][] history;
    private readonly double[] window, windowed;
    private readonly RealFft<double> fft;
    private readonly Action heard;
    private int filled;

    /// <param name="channels">How many.</param>
    /// <param name="size">Samples a frame, a power of two.</param>
    /// <param name="binCount">How many bins from 0 Hz on are wanted.</param>
    /// <param name="heard">Called for every frame; <see cref="Re"/> and <see cref="Im"/> hold it until it returns.</param>
    public StreamedFrames(int channels, int size, int binCount, Action heard)
    {
        this.heard = heard;
        fft = new RealFft<double>(size);
        (history, Re, Im) = (new float[channels][], new double[channels][], new double[channels][]);
        for (var c = 0; c < channels; c++)
            (history[c], Re[c], Im[c]) = (new float[size], new double[fft.BinCount], new double[fft.BinCount]);
        (window, windowed) = (new double[size], new double[size]);
        for (var n = 0; n < size; n++)
            window[n] = Math.Sin(Math.PI * (n + 0.5) / size);
        BinCount = Math.Min(binCount, fft.BinCount);
        filled = size / 2;
    }

    public int Size => fft.Size;

    public int BinCount { get; }

    /// <summary>Real parts, channel by channel.</summary>
    public double[][] Re { get; }

    public double[][] Im { get; }

    /// <summary>The power of two that spans at least so many seconds.</summary>
    public static int SizeOf(double seconds, double sampleRateHz) => (int)BitOperations.RoundUpToPowerOf2((uint)Math.Ceiling(seconds * sampleRateHz));

    public void Add(float[][] channels, int frames)
    {
        for (var done = 0; done < frames;)
        {
            var now = Math.Min(frames - done, Size - filled);
            for (var c = 0; c < history.Length; c++)
                channels[c].AsSpan(done, now).CopyTo(history[c].AsSpan(filled));
            (done, filled) = (done + now, filled + now);
            if (filled == Size)
                Complete();
        }
    }

    /// <summary>Ends the sound with silence.</summary>
    public void Finish()
    {
        // Twice, because the last samples stand in two frames like all others.
        for (var i = 0; i < 2; i++)
        {
            foreach (var channel in history)
                channel.AsSpan(filled).Clear();
            Complete();
        }
    }

    private void Complete()
    {
        for (var c = 0; c < history.Length; c++)
        {
            for (var n = 0; n < windowed.Length; n++)
                windowed[n] = window[n] * history[c][n];
            fft.Forward(windowed, Re[c], Im[c]);
            history[c].AsSpan(Size / 2).CopyTo(history[c]);
        }
        filled = Size / 2;
        heard();
    }
}
