using System.Runtime.CompilerServices;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>Convolves with a matrix of FIR filters in real time, in blocks of any length; the filters can be replaced while it plays.</summary>
/// <remarks>
/// Thread: constructor and Publish [main], Process and Reset [audio]. Allocates: in the constructor and in Publish only. In place: yes.
/// Latency: the filter's own plus BlockFrames, constant, whatever the lengths of the host's blocks.
/// Uniformly partitioned overlap-save: the filter's parts are as long as a block, the spectra of the latest input blocks are kept,
/// newest first, and an output spectrum is the sum over parts of part times block of the same age. Per block that is one transform
/// a channel, and memory and load do not jump as they would with parts of growing length, which only pay off for far
/// longer filters. Source: Wefers, Partitioned convolution algorithms for real-time auralization, RWTH Aachen 2015 (from memory).
/// Replacing: the new filter works on the same kept spectra, so that it enters as if it had always been running, and the old
/// one is faded out over it, linearly. A filter that arrives meanwhile waits until that is over; of several, the last one counts.
/// </remarks>
public sealed class StreamingMatrixConvolver : IPlanarProcessor
{
    private readonly FilterHandover<PartitionedFilter> filters;
    private readonly int partitionCount;
    private readonly int rowLength;
    private readonly RealFft<float> fft;
    private readonly AlignedBuffer<float>[] windows;
    private readonly AlignedBuffer<float>[] outputs;
    private readonly AlignedBuffer<float> inputSpectra;
    private readonly AlignedBuffer<float> sum;
    private readonly AlignedBuffer<float> result;
    private readonly AlignedBuffer<float> formerResult;

    private int newestBlock;
    private int filledFrames;

    /// <param name="filter">The filter to begin with; those that follow have its channels, block and latency.</param>
    /// <param name="maxTapCount">The longest filter that will ever be published.</param>
    /// <param name="crossfadeFrames">How long a change takes; 0 for at once.</param>
    public StreamingMatrixConvolver(
        PartitionedFilter filter, int maxTapCount = 0, int crossfadeFrames = FilterHandover<PartitionedFilter>.DefaultCrossfadeFrames)
    {
        ArgumentNullException.ThrowIfNull(filter);
        if (filter.FftSize != 2 * filter.PartitionFrames)
            throw new ArgumentException("The filter is not partitioned for streaming.", nameof(filter));
        BlockFrames = filter.PartitionFrames;
        filters = new FilterHandover<PartitionedFilter>(filter, maxTapCount, crossfadeFrames);
        partitionCount = (MaxTapCount + BlockFrames - 1) / BlockFrames;
        rowLength = filter.RowLength;
        fft = new RealFft<float>(filter.FftSize);
        windows = new AlignedBuffer<float>[filter.Inputs];
        for (var input = 0; input < windows.Length; input++)
            windows[input] = new AlignedBuffer<float>(filter.FftSize);
        outputs = new AlignedBuffer<float>[filter.Outputs];
        for (var output = 0; output < outputs.Length; output++)
            outputs[output] = new AlignedBuffer<float>(BlockFrames);
        inputSpectra = new AlignedBuffer<float>(partitionCount * filter.Inputs * rowLength);
        sum = new AlignedBuffer<float>(rowLength);
        result = new AlignedBuffer<float>(filter.FftSize);
        formerResult = new AlignedBuffer<float>(filter.FftSize);
    }

    public int Inputs => windows.Length;

    public int Outputs => outputs.Length;

    public int BlockFrames { get; }

    public int MaxTapCount => filters.MaxTapCount;

    public int MaxBlockFrames => int.MaxValue;

    public int LatencyFrames => filters.LatencyFrames + BlockFrames;

    /// <summary>[main] Fades over to another filter from the next block on.</summary>
    public void Publish(PartitionedFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        if (filter.PartitionFrames != BlockFrames || filter.FftSize != fft.Size)
            throw new ArgumentException($"The filter is in parts of {filter.PartitionFrames}; the block is {BlockFrames}.", nameof(filter));
        filters.Publish(filter);
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        var usable = SampleGuard.IsUsable(input);
        for (var done = 0; done < input.Frames;)
        {
            var frames = Math.Min(BlockFrames - filledFrames, input.Frames - done);
            for (var channel = 0; channel < Inputs; channel++)
            {
                var newest = windows[channel].Span.Slice(BlockFrames + filledFrames, frames);
                if (usable)
                    SampleGuard.CopyFlushed(input[channel].Slice(done, frames), newest);
                else
                    newest.Clear();
            }

            for (var channel = 0; channel < Outputs; channel++)
                outputs[channel].Span.Slice(filledFrames, frames).CopyTo(output[channel][done..]);
            done += frames;
            filledFrames += frames;
            if (filledFrames == BlockFrames)
            {
                Convolve();
                filledFrames = 0;
            }
        }
    }

    public void Reset()
    {
        foreach (var window in windows)
            window.Clear();
        foreach (var block in outputs)
            block.Clear();
        inputSpectra.Clear();
        filledFrames = 0;
        filters.Reset();
    }

    /// <summary>Takes the newest filter at once: nothing sounds yet that a change could tear.</summary>
    public void Settle() => filters.Reset();

    private void Convolve()
    {
        filters.TakeNewest();
        TransformInput();
        for (var channel = 0; channel < Outputs; channel++)
        {
            Filter(filters.Current, channel, result.Span);
            var block = outputs[channel].Span;
            if (filters.Former is { } former)
            {
                Filter(former, channel, formerResult.Span);
                filters.Fade.Mix(formerResult.Span[BlockFrames..], result.Span[BlockFrames..], block);
            }
            else
            {
                result.Span[BlockFrames..].CopyTo(block);
            }
        }

        filters.Advance(BlockFrames);
    }

    private void TransformInput()
    {
        // Backwards through the ring: blocks of growing age then lie one behind the other, as the filter's parts do.
        newestBlock = newestBlock == 0 ? partitionCount - 1 : newestBlock - 1;
        for (var channel = 0; channel < Inputs; channel++)
        {
            var window = windows[channel].Span;
            var row = inputSpectra.Span.Slice((newestBlock * Inputs + channel) * rowLength, rowLength);
            fft.Forward(window, SpectrumRow.Re(row, fft.BinCount), SpectrumRow.Im(row, fft.BinCount));
            window[BlockFrames..].CopyTo(window);
        }
    }

    private void Filter(PartitionedFilter filter, int output, Span<float> time)
    {
        if (filter.OnlyInputOf(output) is >= 0 and var only)
        {
            FilterOne(filter, output, only, time);
            return;
        }
        var untilWrap = Math.Min(filter.PartitionCount, partitionCount - newestBlock);
        ref var newest = ref Unsafe.Add(ref inputSpectra.First, newestBlock * Inputs * rowLength);
        SpectrumKernel.Accumulate(ref sum.First, ref newest, ref filter.Rows(output, 0), untilWrap * Inputs, rowLength, fresh: true);
        if (untilWrap < filter.PartitionCount)
        {
            var wrapped = (filter.PartitionCount - untilWrap) * Inputs;
            SpectrumKernel.Accumulate(ref sum.First, ref inputSpectra.First, ref filter.Rows(output, untilWrap), wrapped, rowLength, fresh: false);
        }

        fft.Inverse(SpectrumRow.Re(sum.Span, fft.BinCount), SpectrumRow.Im(sum.Span, fft.BinCount), time);
    }

    // An output that one input alone reaches: the rows of the others are left out.
    private void FilterOne(PartitionedFilter filter, int output, int input, Span<float> time)
    {
        for (var partition = 0; partition < filter.PartitionCount; partition++)
        {
            var block = newestBlock + partition;
            if (block >= partitionCount)
                block -= partitionCount;
            ref var row = ref Unsafe.Add(ref inputSpectra.First, (block * Inputs + input) * rowLength);
            SpectrumKernel.Accumulate(ref sum.First, ref row, ref Unsafe.Add(ref filter.Rows(output, partition), input * rowLength), 1, rowLength, fresh: partition == 0);
        }
        fft.Inverse(SpectrumRow.Re(sum.Span, fft.BinCount), SpectrumRow.Im(sum.Span, fft.BinCount), time);
    }
}
