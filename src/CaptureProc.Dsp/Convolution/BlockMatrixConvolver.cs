using System.Numerics;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>Convolves with a matrix of FIR filters, offline: large blocks, no latency of its own.</summary>
/// <remarks>
/// Thread: [audio] once made, though its place is a command. Allocates: in the constructor only. In place: yes.
/// Latency: none; the filter's own LatencyFrames are in its taps, and whoever writes the file drops them.
/// Blocks: shorter ones are welcome, each costs as much as a full one. The samples agree to rounding, because the same sum
/// is formed at other places of the transform.
/// Overlap-save with one transform a channel: the newest samples stand at the end of a window of FftSize, and the last
/// FftSize − TapCount + 1 results of the circular convolution are those of the linear one. Cost a frame: about
/// 2.5·log2(FftSize) operations for each channel in and out, and four multiplications a filter, whatever its length; a partitioned
/// filter would only win if the transform outgrew the cache.
/// Error: that of two transforms, below −120 dB of the largest sample's size times the filter's gain (ConvolverTests).
/// </remarks>
public sealed class BlockMatrixConvolver : IPlanarProcessor
{
    // With eight filter lengths to a transform 7/8 of its results are good, and it still fits the first-level cache at the
    // lengths that arrays need (some hundred taps at 48 kHz). Twice as long would save 6 % of frames and cost more in the cache.
    private const int FilterLengthsPerTransform = 8;
    private const int SmallestTransform = 1024;

    private readonly PartitionedFilter filter;
    private readonly RealFft<float> fft;
    private readonly AlignedBuffer<float>[] windows;
    private readonly AlignedBuffer<float> spectra;
    private readonly AlignedBuffer<float> sum;
    private readonly AlignedBuffer<float> result;

    public BlockMatrixConvolver(MatrixFilter filter)
        : this(filter, EfficientBlockFrames(filter))
    {
    }

    public BlockMatrixConvolver(MatrixFilter filter, int blockFrames)
    {
        ArgumentNullException.ThrowIfNull(filter);
        ArgumentOutOfRangeException.ThrowIfLessThan(blockFrames, 1);
        var fftSize = (int)BitOperations.RoundUpToPowerOf2((uint)Math.Max(2, filter.TapCount + blockFrames - 1));
        this.filter = new PartitionedFilter(filter, filter.TapCount, fftSize);
        fft = new RealFft<float>(fftSize);
        windows = new AlignedBuffer<float>[filter.Inputs];
        for (var input = 0; input < windows.Length; input++)
            windows[input] = new AlignedBuffer<float>(fftSize);
        spectra = new AlignedBuffer<float>(filter.Inputs * this.filter.RowLength);
        sum = new AlignedBuffer<float>(this.filter.RowLength);
        result = new AlignedBuffer<float>(fftSize);
        MaxBlockFrames = fftSize - filter.TapCount + 1;
    }

    public int Inputs => filter.Inputs;

    public int Outputs => filter.Outputs;

    /// <summary>At least the block length asked for: the transform is used to its end.</summary>
    public int MaxBlockFrames { get; }

    public int LatencyFrames => filter.LatencyFrames;

    public static int EfficientBlockFrames(MatrixFilter filter)
    {
        ArgumentNullException.ThrowIfNull(filter);
        var fftSize = BitOperations.RoundUpToPowerOf2((uint)Math.Max(SmallestTransform, FilterLengthsPerTransform * filter.TapCount));
        return (int)fftSize - filter.TapCount + 1;
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        BlockShape.Check(this, input, output);
        var frames = input.Frames;
        if (frames == 0)
            return;
        var usable = SampleGuard.IsUsable(input);
        for (var channel = 0; channel < Inputs; channel++)
        {
            var window = windows[channel].Span;
            window[frames..].CopyTo(window);
            var newest = window[^frames..];
            if (usable)
                SampleGuard.CopyFlushed(input[channel], newest);
            else
                newest.Clear();
            var row = spectra.Span.Slice(channel * filter.RowLength, filter.RowLength);
            fft.Forward(window, SpectrumRow.Re(row, fft.BinCount), SpectrumRow.Im(row, fft.BinCount));
        }

        for (var channel = 0; channel < Outputs; channel++)
        {
            SpectrumKernel.Accumulate(ref sum.First, ref spectra.First, ref filter.Rows(channel, 0), Inputs, filter.RowLength, fresh: true);
            fft.Inverse(SpectrumRow.Re(sum.Span, fft.BinCount), SpectrumRow.Im(sum.Span, fft.BinCount), result.Span);
            result.Span[^frames..].CopyTo(output[channel]);
        }
    }

    public void Reset()
    {
        foreach (var window in windows)
            window.Clear();
    }
}
