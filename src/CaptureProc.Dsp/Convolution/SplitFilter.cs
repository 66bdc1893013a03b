namespace CaptureProc.Dsp.Convolution;

/// <summary>A matrix of FIR filters made ready for <see cref="SplitMatrixConvolver"/>: its first taps as they are, the rest as spectra.</summary>
/// <remarks>Thread: [main] to make; immutable and [any] afterwards, so one object serves any number of convolvers.</remarks>
public sealed class SplitFilter
{
    /// <summary>
    /// Taps before the cut, and frames of the blocks behind it. Shorter blocks would be transforms below the size from which they
    /// go by vectors, longer ones a longer head, which is the dearer part.
    /// </summary>
    public const int HeadTaps = 64;

    /// <summary>Up to here the time domain alone is cheaper.</summary>
    private const int MaxUncutTaps = 96;

    /// <param name="filter">The filter.</param>
    /// <param name="longestTapCount">Of all filters that one is to take the place of another of; 0 for this one alone.</param>
    /// <param name="isSparse">Whether most of the matrix is nothing; filters that take the place of one another agree on it.</param>
    public SplitFilter(MatrixFilter filter, int longestTapCount = 0, bool isSparse = false)
    {
        ArgumentNullException.ThrowIfNull(filter);
        (Outputs, Inputs, TapCount, LatencyFrames) = (filter.Outputs, filter.Inputs, filter.TapCount, filter.LatencyFrames);
        if (Math.Max(TapCount, longestTapCount) <= MaxUncutTaps)
        {
            Head = new DirectFilter(filter, isSparse);
            return;
        }
        Head = new DirectFilter(Cut(filter, 0, Math.Min(HeadTaps, TapCount)), isSparse);
        // A filter that ends before the cut has a tail of nothing: another one may come that has more.
        Tail = new PartitionedFilter(TapCount > HeadTaps ? Cut(filter, HeadTaps, TapCount - HeadTaps) : new MatrixFilter(Outputs, Inputs, 1, LatencyFrames), HeadTaps);
    }

    public int Outputs { get; }

    public int Inputs { get; }

    public int TapCount { get; }

    public int LatencyFrames { get; }

    internal DirectFilter Head { get; }

    /// <summary>Null where the filter is not cut.</summary>
    internal PartitionedFilter? Tail { get; }

    private static MatrixFilter Cut(MatrixFilter filter, int start, int count)
    {
        var part = new MatrixFilter(filter.Outputs, filter.Inputs, count, filter.LatencyFrames);
        for (var output = 0; output < filter.Outputs; output++)
            for (var input = 0; input < filter.Inputs; input++)
                filter.Taps(output, input).Slice(start, count).CopyTo(part.Taps(output, input));
        return part;
    }
}
