using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>What each input adds to a filter's first output, in some frames out of many.</summary>
/// <remarks>
/// Thread: constructor [main], the rest [audio]. Allocates: in the constructor only.
/// For statistics of seconds an eighth of the frames tells as much as all: <see cref="Frames"/> of every <see cref="Interval"/>, counted
/// from the start of the stream, so that it does not depend on the host's blocks which.
/// </remarks>
public sealed class FirstOutputProbe
{
    public const int Frames = DirectKernel.PairFrames;

    public const int Interval = 8 * Frames;

    private readonly SlidingHistory history;
    private readonly AlignedBuffer<float> parts;
    private readonly AlignedBuffer<float> sums = new(DirectKernel.Sums);
    private readonly int inputs;
    private int framesIn;

    public FirstOutputProbe(int inputs, int maxBlockFrames, int maxTapCount)
    {
        this.inputs = inputs;
        history = new SlidingHistory(inputs, maxTapCount - 1 + Frames, maxBlockFrames, Frames);
        parts = new AlignedBuffer<float>(inputs * Frames);
    }

    /// <summary>Takes in a block of at most <see cref="Interval"/> frames; true where frames are due in it, and are there now.</summary>
    public bool Process(ReadOnlyPlanarSpan input, FirstOutputFilter filter)
    {
        var first = history.Append(input, SampleGuard.IsUsable(input));
        framesIn += input.Frames;
        if (framesIn < Interval)
            return false;
        framesIn -= Interval;
        // The last whole frames up to the border of the interval.
        var at = first + input.Frames - framesIn - Frames;
        for (var channel = 0; channel < inputs; channel++)
        {
            sums.Clear();
            DirectKernel.Accumulate(DirectLayout.Mirror, ref sums.First, ref history.At(channel, at), ref filter.Taps(channel), filter.TapCount);
            sums.Span[..Frames].CopyTo(parts.Span[(channel * Frames)..]);
        }
        return true;
    }

    /// <summary>What each input has added, one channel each.</summary>
    public ReadOnlyPlanarSpan Parts => new(parts.Span, inputs, Frames, Frames);

    public void Reset()
    {
        history.Reset();
        framesIn = 0;
    }
}
