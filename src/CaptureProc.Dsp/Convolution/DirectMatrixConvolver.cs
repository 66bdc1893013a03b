using System.Numerics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>Convolves with a matrix of FIR filters in the time domain: real time, no latency beyond the filter's own.</summary>
/// <remarks>
/// Thread: constructor and Publish [main], the rest [audio]. Allocates: in the constructor and in Publish only. In place: yes.
/// Cost: Outputs·Inputs·TapCount multiplications a frame, half of them where two outputs mirror each other. At 4 x 4 filters of 128
/// taps that is still a few thousandths of a core at 48 kHz; beyond some hundred taps <see cref="StreamingMatrixConvolver"/> is
/// cheaper, at the price of a block of latency.
/// Blocks: the sum for a sample is formed in the same order whatever the block, so results are equal to the last bit.
/// Replacing: as in <see cref="StreamingMatrixConvolver"/>, beginning with the next call of Process.
/// </remarks>
public sealed class DirectMatrixConvolver : IPlanarProcessor
{
    private readonly FilterHandover<DirectFilter> filters;
    private readonly SlidingHistory history;
    private readonly int passFrames;
    private readonly AlignedBuffer<float> sums = new(DirectKernel.Sums);
    private readonly AlignedBuffer<float> formerSums = new(DirectKernel.Sums);

    /// <param name="filter">The filter to begin with; those that follow have its channels and latency.</param>
    /// <param name="maxBlockFrames">The longest block that Process will be given.</param>
    /// <param name="maxTapCount">The longest filter that will ever be published.</param>
    /// <param name="crossfadeFrames">How long a change takes; 0 for at once.</param>
    public DirectMatrixConvolver(
        DirectFilter filter, int maxBlockFrames, int maxTapCount = 0, int crossfadeFrames = FilterHandover<DirectFilter>.DefaultCrossfadeFrames)
    {
        ArgumentNullException.ThrowIfNull(filter);
        ArgumentOutOfRangeException.ThrowIfNegative(maxBlockFrames);
        (Inputs, Outputs, MaxBlockFrames) = (filter.Inputs, filter.Outputs, maxBlockFrames);
        passFrames = filter.Layout == DirectLayout.Quads ? DirectKernel.QuadFrames : DirectKernel.PairFrames;
        filters = new FilterHandover<DirectFilter>(filter, maxTapCount, crossfadeFrames);
        history = new SlidingHistory(Inputs, MaxTapCount - 1, maxBlockFrames, passFrames);
    }

    public int Inputs { get; }

    public int Outputs { get; }

    public int MaxBlockFrames { get; }

    public int MaxTapCount => filters.MaxTapCount;

    public int LatencyFrames => filters.LatencyFrames;

    /// <summary>[main] Fades over to another filter from the next block on.</summary>
    public void Publish(DirectFilter filter) => filters.Publish(filter);

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        if (input.Frames == 0)
            return;
        filters.TakeNewest();
        var first = history.Append(input, SampleGuard.IsUsable(input));
        for (var done = 0; done < input.Frames; done += passFrames)
            Convolve(first + done, output.Slice(done, Math.Min(passFrames, input.Frames - done)));
    }

    public void Reset()
    {
        history.Reset();
        filters.Reset();
    }

    /// <summary>Takes the newest filter at once: nothing sounds yet that a change could tear.</summary>
    public void Settle() => filters.Reset();

    private void Convolve(int frame, PlanarSpan output)
    {
        var group = DirectFilter.OutputsPerPass(filters.Current.Layout);
        for (var channel = 0; channel < Outputs; channel++)
        {
            if (channel % group == 0)
            {
                Filter(filters.Current, channel / group, frame, sums);
                if (filters.Former is { } former)
                    Filter(former, channel / group, frame, formerSums);
            }

            var start = channel % group * passFrames;
            var filtered = sums.Span.Slice(start, output.Frames);
            if (filters.Former != null)
                filters.Fade.Mix(formerSums.Span.Slice(start, output.Frames), filtered, output[channel]);
            else
                filtered.CopyTo(output[channel]);
        }

        filters.Advance(output.Frames);
    }

    private void Filter(DirectFilter filter, int group, int frame, AlignedBuffer<float> into)
    {
        into.Clear();
        for (var input = 0; input < Inputs; input++)
        {
            if (filter.IsNothing(group, input))
                continue;
            // The side of a mirror is summed behind its middle.
            ref var target = ref System.Runtime.CompilerServices.Unsafe.Add(ref into.First, filter.Inverts(input) ? passFrames : 0);
            DirectKernel.Accumulate(filter.Layout, ref target, ref history.At(input, frame), ref filter.Group(group, input), filter.TapCount);
        }
        if (filter.Layout == DirectLayout.Mirror)
            Unfold(into.Span[..passFrames], into.Span.Slice(passFrames, passFrames));
    }

    /// <summary>Middle and side become the first output and the second.</summary>
    private static void Unfold(Span<float> first, Span<float> second)
    {
        for (var i = 0; i < first.Length; i += Vector<float>.Count)
        {
            var (middle, side) = (new Vector<float>(first[i..]), new Vector<float>(second[i..]));
            (middle + side).CopyTo(first[i..]);
            (middle - side).CopyTo(second[i..]);
        }
    }
}
