using System.Numerics;
using System.Runtime.CompilerServices;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Convolution;

/// <summary>A matrix of FIR filters made ready for convolution by FFT: its taps cut into equal parts, the spectrum of each.</summary>
/// <remarks>
/// Thread: [main] to make; immutable and [any] afterwards, so one object serves any number of convolvers.
/// Shape:  PartitionCount parts of PartitionFrames taps, each zero-padded to FftSize; spectra unscaled.
/// </remarks>
public sealed class PartitionedFilter : IPreparedFilter
{
    private readonly AlignedBuffer<float> spectra;
    private readonly int[] onlyInputs;

    /// <summary>For <see cref="StreamingMatrixConvolver"/>: parts as long as its block, a power of two.</summary>
    public PartitionedFilter(MatrixFilter filter, int blockFrames)
        : this(filter, PowerOfTwo(blockFrames), 2 * blockFrames)
    {
    }

    internal PartitionedFilter(MatrixFilter filter, int partitionFrames, int fftSize)
    {
        ArgumentNullException.ThrowIfNull(filter);
        var fft = new RealFft<float>(fftSize);
        (Outputs, Inputs, TapCount, LatencyFrames) = (filter.Outputs, filter.Inputs, filter.TapCount, filter.LatencyFrames);
        (PartitionFrames, FftSize) = (partitionFrames, fftSize);
        PartitionCount = (TapCount + partitionFrames - 1) / partitionFrames;
        RowLength = SpectrumRow.Length(fft.BinCount);
        spectra = new AlignedBuffer<float>(Outputs * PartitionCount * Inputs * RowLength);

        onlyInputs = new int[Outputs];
        for (var output = 0; output < Outputs; output++)
            onlyInputs[output] = OnlyInput(filter, output);

        var padded = new float[fftSize];
        for (var output = 0; output < Outputs; output++)
            for (var partition = 0; partition < PartitionCount; partition++)
                for (var input = 0; input < Inputs; input++)
                {
                    var start = partition * partitionFrames;
                    var length = Math.Min(partitionFrames, TapCount - start);
                    filter.Taps(output, input).Slice(start, length).CopyTo(padded);
                    padded.AsSpan(length).Clear();
                    var row = spectra.Span.Slice(RowIndex(output, partition) + input * RowLength, RowLength);
                    fft.Forward(padded, SpectrumRow.Re(row, fft.BinCount), SpectrumRow.Im(row, fft.BinCount));
                }
    }

    public int Outputs { get; }

    public int Inputs { get; }

    public int TapCount { get; }

    public int LatencyFrames { get; }

    public int PartitionFrames { get; }

    public int PartitionCount { get; }

    public int FftSize { get; }

    /// <summary>The one input that reaches an output; −1 where there are more, or none.</summary>
    internal int OnlyInputOf(int output) => onlyInputs[output];

    /// <summary>Floats from one row (real parts, then imaginary parts of one spectrum) to the next.</summary>
    internal int RowLength { get; }

    /// <summary>The rows of one output: for every partition from the earliest taps on, one row for each input.</summary>
    internal ref float Rows(int output, int partition) =>
        ref Unsafe.Add(ref spectra.First, RowIndex(output, partition));

    private static int OnlyInput(MatrixFilter filter, int output)
    {
        var only = -1;
        for (var input = 0; input < filter.Inputs; input++)
        {
            if (!filter.Taps(output, input).ContainsAnyExcept(0f))
                continue;
            if (only >= 0)
                return -1;
            only = input;
        }
        return only;
    }

    private static int PowerOfTwo(int blockFrames) =>
        blockFrames >= 1 && BitOperations.IsPow2(blockFrames)
            ? blockFrames
            : throw new ArgumentOutOfRangeException(nameof(blockFrames), blockFrames, "A block of partitioned convolution is a power of two, 1 or more.");

    private int RowIndex(int output, int partition) => (output * PartitionCount + partition) * Inputs * RowLength;
}
