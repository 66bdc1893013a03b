using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.Fourier;

/// <summary>The discrete Fourier transform of complex signals, real and imaginary parts in two runs.</summary>
/// <remarks>
/// Thread: [audio] once made; one instance a thread, since it holds work buffers. Allocates: in the constructor only. In place: yes.
/// Shape:  Size numbers in and out, bins in natural order 0..Size−1. Size is a power of two, 1 or more.
/// Scale:  Forward is unscaled, X[k] = Σ x[n]·exp(−j2πkn/N); Inverse divides by N.
/// Error:  relative L2 error about half a rounding step times log2 N, bounded in FftAccuracyTests.
/// </remarks>
public sealed class ComplexFft<T>
    where T : unmanaged, IFloatingPointIeee754<T>
{
    private readonly StockhamPlan<T> plan;

    public ComplexFft(int size)
    {
        FftSize.Check<T>(size, smallest: 1);
        plan = new StockhamPlan<T>(size);
    }

    public int Size => plan.Size;

    public void Forward(ReadOnlySpan<T> re, ReadOnlySpan<T> im, Span<T> outRe, Span<T> outIm)
    {
        FftSize.CheckLength(re.Length, Size, nameof(re));
        FftSize.CheckLength(im.Length, Size, nameof(im));
        FftSize.CheckLength(outRe.Length, Size, nameof(outRe));
        FftSize.CheckLength(outIm.Length, Size, nameof(outIm));
        plan.Run<SplitEnd<T>, SplitEnd<T>>(ref MemoryMarshal.GetReference(re), ref MemoryMarshal.GetReference(im),
            ref MemoryMarshal.GetReference(outRe), ref MemoryMarshal.GetReference(outIm));
    }

    // Exchanging real and imaginary parts before and after turns the kernel's sign round.
    public void Inverse(ReadOnlySpan<T> re, ReadOnlySpan<T> im, Span<T> outRe, Span<T> outIm)
    {
        Forward(im, re, outIm, outRe);
        var scale = T.One / T.CreateChecked(Size);
        for (var n = 0; n < outRe.Length; n++)
            (outRe[n], outIm[n]) = (outRe[n] * scale, outIm[n] * scale);
    }
}
