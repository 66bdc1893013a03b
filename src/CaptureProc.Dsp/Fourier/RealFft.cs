using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.Fourier;

/// <summary>The discrete Fourier transform of real signals.</summary>
/// <remarks>
/// Thread: [audio] once made; one instance a thread, since it holds work buffers. Allocates: in the constructor only. In place: yes.
/// Shape:  Size samples; BinCount = Size/2 + 1 bins from 0 to half the sampling rate, real and imaginary parts in two runs.
///         Size is a power of two, 2 or more.
/// Scale:  Forward is unscaled, X[k] = Σ x[n]·exp(−j2πkn/N); Inverse divides by N. The imaginary parts of the first
///         and last bin come out as zero and are not looked at by Inverse.
/// Error:  relative L2 error about half a rounding step times log2 N, bounded in FftAccuracyTests.
/// Even and odd samples are transformed as one complex signal of half the size, and the two spectra untangled afterwards.
/// </remarks>
public sealed class RealFft<T>
    where T : unmanaged, IFloatingPointIeee754<T>
{
    private readonly StockhamPlan<T> half;
    private readonly HalfSizePacking<T> packing;

    public RealFft(int size)
    {
        FftSize.Check<T>(size, smallest: 2);
        Size = size;
        half = new StockhamPlan<T>(size / 2);
        packing = new HalfSizePacking<T>(size);
    }

    public int Size { get; }

    public int BinCount => Size / 2 + 1;

    public void Forward(ReadOnlySpan<T> signal, Span<T> re, Span<T> im)
    {
        FftSize.CheckLength(signal.Length, Size, nameof(signal));
        FftSize.CheckLength(re.Length, BinCount, nameof(re));
        FftSize.CheckLength(im.Length, BinCount, nameof(im));
        var (packedRe, packedIm) = half.OutputScratch;
        half.Run<PairEnd<T>, SplitEnd<T>>(ref MemoryMarshal.GetReference(signal), ref Unsafe.NullRef<T>(), ref packedRe.First, ref packedIm.First);
        packing.Untangle(ref packedRe.First, ref packedIm.First, ref MemoryMarshal.GetReference(re), ref MemoryMarshal.GetReference(im));
    }

    public void Inverse(ReadOnlySpan<T> re, ReadOnlySpan<T> im, Span<T> signal)
    {
        FftSize.CheckLength(re.Length, BinCount, nameof(re));
        FftSize.CheckLength(im.Length, BinCount, nameof(im));
        FftSize.CheckLength(signal.Length, Size, nameof(signal));
        var (packedRe, packedIm) = half.InputScratch;
        packing.Tangle(ref MemoryMarshal.GetReference(re), ref MemoryMarshal.GetReference(im), ref packedRe.First, ref packedIm.First);
        half.Run<SplitEnd<T>, PairEnd<T>>(ref packedIm.First, ref packedRe.First, ref MemoryMarshal.GetReference(signal), ref Unsafe.NullRef<T>());
    }
}
