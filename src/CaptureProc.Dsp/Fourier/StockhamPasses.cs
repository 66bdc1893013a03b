using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Dsp.Fourier;

/// <summary>The passes of a Stockham transform, radix 4, vectorised in every pass.</summary>
/// <remarks>
/// Thread: [any]; source and destination differ. Allocates: never.
/// A pass takes sub-transforms of length n with stride s (n·s = size) to length n/4 and stride 4s:
///   y[q + s(4p + k)] = w^(pk) · Σ_m x[q + s(p + m·n/4)] · (−j)^(mk),   w = exp(−j2π/n), 0 ≤ p &lt; n/4, 0 ≤ q &lt; s.
/// With i = q + s·p the reads are contiguous in i for every stride, so each pass loads whole vectors; only the two passes
/// whose stride is shorter than a vector (s = 1, and s = 4 for float) have to rearrange lanes as they store. No bit reversal,
/// hence no scattered access at all, which is why this form is preferred to an in-place transform; the price is a second buffer.
/// Source: Swarztrauber, FFT algorithms for vector computers, Parallel Computing 1, 1984 (from memory).
/// AggressiveOptimization: a conversion of a whole take is over before the tiered compiler would have replaced a first version.
/// </remarks>
internal static class StockhamPasses
{
    private const MethodImplOptions Hot = MethodImplOptions.AggressiveOptimization;

    /// <summary>Stride 1: the four results of a p are neighbours, so four vectors are interleaved.</summary>
    [MethodImpl(Hot)]
    public static void First<T, TEnd>(ref T xr, ref T xi, ref T yr, ref T yi, ref T twiddles, int size)
        where T : unmanaged
        where TEnd : IPassEnd<T>
    {
        var lanes = (nuint)Vector256<T>.Count;
        var quarter = (nuint)size / 4;
        for (nuint i = 0; i < quarter; i += lanes)
        {
            var a = TEnd.Load(ref xr, ref xi, i);
            var b = TEnd.Load(ref xr, ref xi, i + quarter);
            var c = TEnd.Load(ref xr, ref xi, i + 2 * quarter);
            var d = TEnd.Load(ref xr, ref xi, i + 3 * quarter);
            Butterflies.Four(ref a, ref b, ref c, ref d);
            Turn(ref b, ref c, ref d, ref Unsafe.Add(ref twiddles, 6 * i));
            StoreInterleaved(a.Re, b.Re, c.Re, d.Re, ref yr, 4 * i);
            StoreInterleaved(a.Im, b.Im, c.Im, d.Im, ref yi, 4 * i);
        }
    }

    /// <summary>Stride of half a vector: a vector holds two p, whose halves go to different places.</summary>
    [MethodImpl(Hot)]
    public static void HalfVectorStride<T>(ref T xr, ref T xi, ref T yr, ref T yi, ref T twiddles, int size)
        where T : unmanaged
    {
        var lanes = (nuint)Vector256<T>.Count;
        var quarter = (nuint)size / 4;
        for (nuint i = 0; i < quarter; i += lanes)
        {
            LoadFour(ref xr, ref xi, i, quarter, out var a, out var b, out var c, out var d);
            Butterflies.Four(ref a, ref b, ref c, ref d);
            Turn(ref b, ref c, ref d, ref Unsafe.Add(ref twiddles, 6 * i));
            StoreHalves(a.Re, b.Re, c.Re, d.Re, ref yr, 4 * i);
            StoreHalves(a.Im, b.Im, c.Im, d.Im, ref yi, 4 * i);
        }
    }

    /// <summary>Stride of one or more whole vectors: one p at a time, its factors in every lane.</summary>
    [MethodImpl(Hot)]
    public static void WholeVectorStride<T>(ref T xr, ref T xi, ref T yr, ref T yi, ref T twiddles, int size, int stride)
        where T : unmanaged
    {
        var lanes = (nuint)Vector256<T>.Count;
        var quarter = (nuint)size / 4;
        var s = (nuint)stride;
        for (nuint i = 0; i < quarter;)
        {
            var w1 = ComplexLanes<T>.Broadcast(ref twiddles);
            var w2 = ComplexLanes<T>.Broadcast(ref Unsafe.Add(ref twiddles, 2));
            var w3 = ComplexLanes<T>.Broadcast(ref Unsafe.Add(ref twiddles, 4));
            twiddles = ref Unsafe.Add(ref twiddles, 6);
            var y = 4 * i;
            for (var end = i + s; i < end; i += lanes, y += lanes)
            {
                LoadFour(ref xr, ref xi, i, quarter, out var a, out var b, out var c, out var d);
                Butterflies.Four(ref a, ref b, ref c, ref d);
                a.Store(ref yr, ref yi, y);
                (b * w1).Store(ref yr, ref yi, y + s);
                (c * w2).Store(ref yr, ref yi, y + 2 * s);
                (d * w3).Store(ref yr, ref yi, y + 3 * s);
            }
        }
    }

    /// <summary>Length 4: nothing is left to turn.</summary>
    [MethodImpl(Hot)]
    public static void LastFour<T, TEnd>(ref T xr, ref T xi, ref T yr, ref T yi, int size)
        where T : unmanaged
        where TEnd : IPassEnd<T>
    {
        var lanes = (nuint)Vector256<T>.Count;
        var quarter = (nuint)size / 4;
        for (nuint i = 0; i < quarter; i += lanes)
        {
            LoadFour(ref xr, ref xi, i, quarter, out var a, out var b, out var c, out var d);
            Butterflies.Four(ref a, ref b, ref c, ref d);
            TEnd.Store(a, ref yr, ref yi, i);
            TEnd.Store(b, ref yr, ref yi, i + quarter);
            TEnd.Store(c, ref yr, ref yi, i + 2 * quarter);
            TEnd.Store(d, ref yr, ref yi, i + 3 * quarter);
        }
    }

    /// <summary>Length 8, for sizes that are an odd power of two: one pass instead of a radix-4 and a radix-2 one.</summary>
    [MethodImpl(Hot)]
    public static void LastEight<T, TEnd>(ref T xr, ref T xi, ref T yr, ref T yi, ref T twiddles, int size)
        where T : unmanaged
        where TEnd : IPassEnd<T>
    {
        var lanes = (nuint)Vector256<T>.Count;
        var eighth = (nuint)size / 8;
        var w1 = ComplexLanes<T>.Broadcast(ref Unsafe.Add(ref twiddles, 6));
        var w3 = ComplexLanes<T>.Broadcast(ref Unsafe.Add(ref twiddles, 10));
        for (nuint i = 0; i < eighth; i += lanes)
        {
            LoadFour(ref xr, ref xi, i, 2 * eighth, out var a, out var c, out var e, out var g);
            LoadFour(ref xr, ref xi, i + eighth, 2 * eighth, out var b, out var d, out var f, out var h);
            Butterflies.Four(ref a, ref c, ref e, ref g);
            Butterflies.Four(ref b, ref d, ref f, ref h);
            d *= w1;
            f = f.TimesMinusJ();
            h *= w3;
            TEnd.Store(a + b, ref yr, ref yi, i);
            TEnd.Store(c + d, ref yr, ref yi, i + eighth);
            TEnd.Store(e + f, ref yr, ref yi, i + 2 * eighth);
            TEnd.Store(g + h, ref yr, ref yi, i + 3 * eighth);
            TEnd.Store(a - b, ref yr, ref yi, i + 4 * eighth);
            TEnd.Store(c - d, ref yr, ref yi, i + 5 * eighth);
            TEnd.Store(e - f, ref yr, ref yi, i + 6 * eighth);
            TEnd.Store(g - h, ref yr, ref yi, i + 7 * eighth);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void LoadFour<T>(ref T xr, ref T xi, nuint i, nuint apart,
        out ComplexLanes<T> a, out ComplexLanes<T> b, out ComplexLanes<T> c, out ComplexLanes<T> d)
        where T : unmanaged
    {
        a = ComplexLanes<T>.Load(ref xr, ref xi, i);
        b = ComplexLanes<T>.Load(ref xr, ref xi, i + apart);
        c = ComplexLanes<T>.Load(ref xr, ref xi, i + 2 * apart);
        d = ComplexLanes<T>.Load(ref xr, ref xi, i + 3 * apart);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Turn<T>(ref ComplexLanes<T> b, ref ComplexLanes<T> c, ref ComplexLanes<T> d, ref T factors)
        where T : unmanaged
    {
        var lanes = (nuint)Vector256<T>.Count;
        b *= ComplexLanes<T>.Load(ref factors, ref Unsafe.Add(ref factors, lanes), 0);
        c *= ComplexLanes<T>.Load(ref factors, ref Unsafe.Add(ref factors, lanes), 2 * lanes);
        d *= ComplexLanes<T>.Load(ref factors, ref Unsafe.Add(ref factors, lanes), 4 * lanes);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void StoreInterleaved<T>(Vector256<T> a, Vector256<T> b, Vector256<T> c, Vector256<T> d, ref T y, nuint at)
        where T : unmanaged
    {
        var lanes = (nuint)Vector256<T>.Count;
        Lanes.Interleave(a, c, out var acLow, out var acHigh);
        Lanes.Interleave(b, d, out var bdLow, out var bdHigh);
        Lanes.Interleave(acLow, bdLow, out var first, out var second);
        Lanes.Interleave(acHigh, bdHigh, out var third, out var fourth);
        first.StoreUnsafe(ref y, at);
        second.StoreUnsafe(ref y, at + lanes);
        third.StoreUnsafe(ref y, at + 2 * lanes);
        fourth.StoreUnsafe(ref y, at + 3 * lanes);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void StoreHalves<T>(Vector256<T> a, Vector256<T> b, Vector256<T> c, Vector256<T> d, ref T y, nuint at)
        where T : unmanaged
    {
        var lanes = (nuint)Vector256<T>.Count;
        Vector256.Create(a.GetLower(), b.GetLower()).StoreUnsafe(ref y, at);
        Vector256.Create(c.GetLower(), d.GetLower()).StoreUnsafe(ref y, at + lanes);
        Vector256.Create(a.GetUpper(), b.GetUpper()).StoreUnsafe(ref y, at + 2 * lanes);
        Vector256.Create(c.GetUpper(), d.GetUpper()).StoreUnsafe(ref y, at + 3 * lanes);
    }
}
