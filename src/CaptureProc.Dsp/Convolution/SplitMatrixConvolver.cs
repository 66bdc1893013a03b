using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>Convolves with a matrix of FIR filters in real time without latency, where filters are too long for the time domain alone.</summary>
/// <remarks>
/// Thread: constructor and Publish [main], the rest [audio]. Allocates: in the constructor and in Publish only. In place: yes.
/// The first taps are summed in the time domain; the rest, which has a block's time to be worked out, by transforms of blocks of
/// its own, that lie where the stream began and not where the host cuts it. So results do not depend on the host's blocks, to the last
/// bit, and the load is even in blocks of <see cref="SplitFilter.HeadTaps"/> frames and their multiples.
/// Cost: half of <see cref="DirectMatrixConvolver"/> at 4 x 4 filters of 257 taps, the less the longer they are.
/// Error: that of a transform of twice the head's length in floats, −130 dB of the level.
/// Replacing: both parts fade, each from its next block on, so at most a block apart in a fade of many.
/// Source: Gardner, Efficient convolution without input-output delay, J. Audio Eng. Soc. 43(3), 1995 (from memory).
/// </remarks>
public sealed class SplitMatrixConvolver : IPlanarProcessor
{
    private readonly DirectMatrixConvolver head;
    private readonly StreamingMatrixConvolver? tail;
    private readonly AlignedBuffer<float> late;

    /// <param name="filter">The filter to begin with; those that follow have its channels and latency.</param>
    /// <param name="maxBlockFrames">The longest block that Process will be given.</param>
    /// <param name="maxTapCount">The longest filter that will ever be published.</param>
    /// <param name="crossfadeFrames">How long a change takes; 0 for at once.</param>
    public SplitMatrixConvolver(SplitFilter filter, int maxBlockFrames, int maxTapCount = 0, int crossfadeFrames = FilterHandover<DirectFilter>.DefaultCrossfadeFrames)
    {
        ArgumentNullException.ThrowIfNull(filter);
        MaxTapCount = Math.Max(maxTapCount, filter.TapCount);
        head = new DirectMatrixConvolver(filter.Head, maxBlockFrames, filter.Tail is null ? MaxTapCount : SplitFilter.HeadTaps, crossfadeFrames);
        tail = filter.Tail is null ? null : new StreamingMatrixConvolver(filter.Tail, Math.Max(1, MaxTapCount - SplitFilter.HeadTaps), crossfadeFrames);
        late = new AlignedBuffer<float>(tail is null ? 0 : filter.Outputs * maxBlockFrames);
    }

    public int Inputs => head.Inputs;

    public int Outputs => head.Outputs;

    public int MaxBlockFrames => head.MaxBlockFrames;

    public int MaxTapCount { get; }

    public int LatencyFrames => head.LatencyFrames;

    /// <summary>[main] Fades over to another filter.</summary>
    public void Publish(SplitFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        if (filter.Tail is null != tail is null)
            throw new ArgumentException($"The filter of {filter.TapCount} taps was not made to take the place of one of {MaxTapCount}.", nameof(filter));
        head.Publish(filter.Head);
        tail?.Publish(filter.Tail!);
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        if (tail is null)
        {
            head.Process(input, output);
            return;
        }
        // The input is read by both before anything is written: it may be the output.
        var delayed = new PlanarSpan(late.Span, Outputs, input.Frames, MaxBlockFrames);
        tail.Process(input, delayed);
        head.Process(input, output);
        for (var channel = 0; channel < Outputs; channel++)
            SampleSum.Add(delayed[channel], output[channel]);
    }

    public void Reset()
    {
        head.Reset();
        tail?.Reset();
    }

    /// <summary>Takes the newest filter at once: nothing sounds yet that a change could tear.</summary>
    public void Settle()
    {
        head.Settle();
        tail?.Settle();
    }
}
