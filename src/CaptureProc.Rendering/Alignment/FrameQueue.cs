using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Rendering.Alignment;

/// <summary>Planar frames that wait: first in, first out.</summary>
/// <remarks>Thread: one. Allocates: when more wait than ever before.</remarks>
internal sealed class FrameQueue(int channels)
{
    private float[] samples = [];
    private int stride;
    private int first;
    private int count;

    public int Count => count;

    /// <summary>Room for frames at the end, to be filled by the caller at once.</summary>
    public PlanarSpan Append(int frames)
    {
        if (first + count + frames > stride)
            MakeRoom(frames);
        var at = first + count;
        count += frames;
        return new PlanarSpan(samples.AsSpan(Math.Min(at, samples.Length)), channels, frames, Math.Max(stride, frames));
    }

    /// <summary>Moves the oldest frames out.</summary>
    public void Take(PlanarSpan output)
    {
        if (output.Frames > count)
            throw new InvalidOperationException($"{output.Frames} frames are asked for and {count} wait: the latency is too short for this clock.");
        for (var channel = 0; channel < channels; channel++)
            samples.AsSpan(channel * stride + first, output.Frames).CopyTo(output[channel]);
        first += output.Frames;
        count -= output.Frames;
    }

    private void MakeRoom(int frames)
    {
        var needed = count + frames;
        var wider = needed > stride / 2 ? 2 * needed : stride;
        var target = wider == stride ? samples : new float[channels * wider];
        for (var channel = 0; channel < channels; channel++)
            samples.AsSpan(channel * stride + first, count).CopyTo(target.AsSpan(channel * wider));
        (samples, stride, first) = (target, wider, 0);
    }
}
