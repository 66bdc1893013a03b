namespace CaptureProc.Rendering.Signals;

/// <summary>A signal to line up with: known to the last sample, written in blocks.</summary>
/// <remarks>
/// Thread: [any] once made; rendering changes nothing, so blocks may be asked for in any order.
/// Shape: one run of samples a channel; frame 0 is the first of the file. Unit: full scale is ±1.
/// Levels are RMS on the AES17 scale, where a full-scale sine reads 0 dBFS, so RMS 1/√2 is 0 dBFS.
/// </remarks>
public abstract class TestSignal
{
    /// <summary>No signal may peak above this between its samples: converters and coders then keep their headroom.</summary>
    public const double MaxTruePeakDbtp = -1;

    /// <summary>Every signal starts and ends this softly, so that no loudspeaker is thumped.</summary>
    public const double FadeSeconds = 0.02;

    protected TestSignal(int sampleRateHz, long frameCount, int channelCount)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRateHz, 8000);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(sampleRateHz, 768000);
        ArgumentOutOfRangeException.ThrowIfLessThan(frameCount, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(channelCount, 1);
        (SampleRateHz, FrameCount, ChannelCount) = (sampleRateHz, frameCount, channelCount);
    }

    public int SampleRateHz { get; }

    public long FrameCount { get; }

    public int ChannelCount { get; }

    /// <summary>The largest value between samples, in dB relative to full scale.</summary>
    public abstract double TruePeakDbtp { get; }

    /// <summary>What a person has to know to use the signal, in one line.</summary>
    public abstract string Description { get; }

    /// <summary>Overwrites <paramref name="samples"/> with one channel from a frame on; silence outside the signal.</summary>
    public abstract void Render(int channel, long firstFrame, Span<double> samples);

    /// <summary>RMS of full scale for a level on the AES17 scale.</summary>
    public static double RmsOf(double levelDbfs) => Math.Sqrt(0.5) * Math.Pow(10, levelDbfs / 20);

    /// <summary>Weight of a frame under the fades at both ends: sin² up, 1, sin² down.</summary>
    protected double FadeAt(long frame)
    {
        var fadeFrames = Math.Min(FadeSeconds * SampleRateHz, FrameCount / 2.0);
        var fromEdge = Math.Min(frame, FrameCount - 1 - frame) + 0.5;
        if (fromEdge <= 0)
            return 0;
        if (fromEdge >= fadeFrames)
            return 1;
        var sine = Math.Sin(Math.PI / 2 * fromEdge / fadeFrames);
        return sine * sine;
    }

    protected static double ToDb(double ratio) => 20 * Math.Log10(ratio);
}
