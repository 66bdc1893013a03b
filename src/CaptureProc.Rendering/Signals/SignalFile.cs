using CaptureProc.Wav;

namespace CaptureProc.Rendering.Signals;

/// <summary>Puts test signals into WAV files, block by block.</summary>
public static class SignalFile
{
    private const int BlockFrames = 8192;

    /// <summary>Writes a signal with all its channels.</summary>
    /// <exception cref="Session.UnusableInputException">The file cannot be written, or exists and may not be replaced.</exception>
    public static void Write(TestSignal signal, string path, SampleFormat sampleFormat, bool replace)
    {
        ArgumentNullException.ThrowIfNull(signal);
        Write(signal, path, sampleFormat, replace, signal.ChannelCount, signal.Render);
    }

    /// <summary>Writes what undoes a sweep, in one channel.</summary>
    public static void WriteInverse(ExponentialSweep sweep, string path, SampleFormat sampleFormat, bool replace)
    {
        ArgumentNullException.ThrowIfNull(sweep);
        Write(sweep, path, sampleFormat, replace, 1, (_, firstFrame, samples) => sweep.RenderInverse(firstFrame, samples));
    }

    private delegate void Renderer(int channel, long firstFrame, Span<double> samples);

    private static void Write(TestSignal signal, string path, SampleFormat sampleFormat, bool replace, int channelCount, Renderer render)
    {
        using var output = WavOutput.Create(path, new WavOutputFormat(signal.SampleRateHz, channelCount, sampleFormat), replace);
        var exact = new double[BlockFrames];
        var planar = new float[channelCount][];
        for (var channel = 0; channel < channelCount; channel++)
            planar[channel] = new float[BlockFrames];
        for (var first = 0L; first < signal.FrameCount; first += BlockFrames)
        {
            var frames = (int)Math.Min(BlockFrames, signal.FrameCount - first);
            for (var channel = 0; channel < channelCount; channel++)
            {
                render(channel, first, exact.AsSpan(0, frames));
                for (var i = 0; i < frames; i++)
                    planar[channel][i] = (float)exact[i];
            }
            output.Write(planar, 0, frames);
        }
        output.Complete();
    }
}
