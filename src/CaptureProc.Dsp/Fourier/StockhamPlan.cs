using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Fourier;

/// <summary>A complex transform of one size: its factors, its two work buffers, and the order of its passes.</summary>
/// <remarks>
/// Thread: [audio] once made, one instance a thread. Allocates: in the constructor only. Unscaled, kernel exp(−j2πkn/N).
/// The input is read by the first pass alone and the output written by the last alone, so they may be the same memory.
/// </remarks>
internal sealed class StockhamPlan<T>
    where T : unmanaged, IFloatingPointIeee754<T>
{
    // From 64 points on every pass has whole vectors to do, for float and for double.
    private const int SmallestVectorised = 64;

    private readonly AlignedBuffer<T>[] passTwiddles;
    private readonly AlignedBuffer<T> firstRe, firstIm, secondRe, secondIm;
    private readonly bool endsWithEight;

    public StockhamPlan(int size)
    {
        Size = size;
        firstRe = new AlignedBuffer<T>(size);
        firstIm = new AlignedBuffer<T>(size);
        secondRe = new AlignedBuffer<T>(size);
        secondIm = new AlignedBuffer<T>(size);
        var octaves = BitOperations.Log2((uint)size);
        if (size < SmallestVectorised)
        {
            passTwiddles = [SmallTransform.Factors<T>(size)];
            return;
        }

        endsWithEight = octaves % 2 == 1;
        passTwiddles = new AlignedBuffer<T>[endsWithEight ? (octaves - 1) / 2 : octaves / 2];
        var lanes = Vector256<T>.Count;
        for (var (pass, stride) = (0, 1); pass < passTwiddles.Length; (pass, stride) = (pass + 1, stride * 4))
            passTwiddles[pass] = stride < lanes
                ? Twiddles.Vectors<T>(size / stride, stride, lanes)
                : Twiddles.Scalars<T>(size / stride);
    }

    public int Size { get; }

    /// <summary>Where a caller may lay an input: no pass has written there when the first pass reads.</summary>
    public (AlignedBuffer<T> Re, AlignedBuffer<T> Im) InputScratch => (secondRe, secondIm);

    /// <summary>Where a caller may take the output: the last pass does not read there.</summary>
    public (AlignedBuffer<T> Re, AlignedBuffer<T> Im) OutputScratch =>
        passTwiddles.Length % 2 == 0 ? (secondRe, secondIm) : (firstRe, firstIm);

    public void Run<TIn, TOut>(ref T inRe, ref T inIm, ref T outRe, ref T outIm)
        where TIn : IPassEnd<T>
        where TOut : IPassEnd<T>
    {
        if (Size < SmallestVectorised)
        {
            SmallTransform.Run<T, TIn, TOut>(ref inRe, ref inIm, ref outRe, ref outIm, firstRe.Span, firstIm.Span, passTwiddles[0].Span);
            return;
        }

        ref var xr = ref firstRe.First;
        ref var xi = ref firstIm.First;
        ref var yr = ref secondRe.First;
        ref var yi = ref secondIm.First;
        StockhamPasses.First<T, TIn>(ref inRe, ref inIm, ref xr, ref xi, ref passTwiddles[0].First, Size);
        var stride = 4;
        for (var pass = 1; pass < passTwiddles.Length - 1; pass++, stride *= 4)
        {
            ref var twiddles = ref passTwiddles[pass].First;
            if (stride < Vector256<T>.Count)
                StockhamPasses.HalfVectorStride(ref xr, ref xi, ref yr, ref yi, ref twiddles, Size);
            else
                StockhamPasses.WholeVectorStride(ref xr, ref xi, ref yr, ref yi, ref twiddles, Size, stride);
            ref var swapRe = ref xr;
            ref var swapIm = ref xi;
            xr = ref yr;
            xi = ref yi;
            yr = ref swapRe;
            yi = ref swapIm;
        }

        if (endsWithEight)
            StockhamPasses.LastEight<T, TOut>(ref xr, ref xi, ref outRe, ref outIm, ref passTwiddles[^1].First, Size);
        else
            StockhamPasses.LastFour<T, TOut>(ref xr, ref xi, ref outRe, ref outIm, Size);
    }
}
