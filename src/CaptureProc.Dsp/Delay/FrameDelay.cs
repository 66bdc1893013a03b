using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>Delays all channels by one constant whole number of frames.</summary>
/// <remarks>Thread: constructor [main], the rest [audio]. Allocates: in the constructor only. In place: yes. Exact to the last bit.</remarks>
public sealed class FrameDelay : IPlanarProcessor
{
    private readonly AlignedBuffer<float>[] history;
    private readonly AlignedBuffer<float> incoming;

    public FrameDelay(int channels, int delayFrames, int maxBlockFrames)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 1);
        ArgumentOutOfRangeException.ThrowIfNegative(delayFrames);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxBlockFrames, 1);
        (Inputs, Outputs, LatencyFrames, MaxBlockFrames) = (channels, channels, delayFrames, maxBlockFrames);
        history = new AlignedBuffer<float>[channels];
        for (var i = 0; i < channels; i++)
            history[i] = new AlignedBuffer<float>(delayFrames);
        incoming = new AlignedBuffer<float>(maxBlockFrames);
    }

    public int Inputs { get; }

    public int Outputs { get; }

    public int MaxBlockFrames { get; }

    /// <summary>The delay itself.</summary>
    public int LatencyFrames { get; }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        var frames = input.Frames;
        var usable = SampleGuard.IsUsable(input);
        for (var channel = 0; channel < Inputs; channel++)
        {
            var next = incoming.Span[..frames];
            if (usable)
                SampleGuard.CopyFlushed(input[channel], next);
            else
                next.Clear();
            var past = history[channel].Span;
            var fromPast = Math.Min(frames, past.Length);
            past[..fromPast].CopyTo(output[channel]);
            next[..(frames - fromPast)].CopyTo(output[channel][fromPast..]);
            past[fromPast..].CopyTo(past);
            next[(frames - fromPast)..].CopyTo(past[(past.Length - fromPast)..]);
        }
    }

    public void Reset()
    {
        foreach (var past in history)
            past.Clear();
    }
}
