using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace CaptureProc.Dsp.Fourier;

/// <summary>Moves elements between the lanes of 256-bit vectors, for float and double alike.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. The vector classes of the framework have arithmetic for every element type, but no
/// interleaving; the last branch of each method is plain and correct on every processor.
/// </remarks>
internal static class Lanes
{
    /// <summary>a0 b0 a1 b1 …: the lower half of the result in <paramref name="low"/>, the upper in <paramref name="high"/>.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Interleave<T>(Vector256<T> a, Vector256<T> b, out Vector256<T> low, out Vector256<T> high)
        where T : unmanaged
    {
        if (typeof(T) == typeof(float) && Avx512F.VL.IsSupported)
        {
            low = Avx512F.VL.PermuteVar8x32x2(a.AsSingle(), Vector256.Create(0, 8, 1, 9, 2, 10, 3, 11), b.AsSingle()).As<float, T>();
            high = Avx512F.VL.PermuteVar8x32x2(a.AsSingle(), Vector256.Create(4, 12, 5, 13, 6, 14, 7, 15), b.AsSingle()).As<float, T>();
        }
        else if (typeof(T) == typeof(float) && Avx.IsSupported)
        {
            var even = Avx.UnpackLow(a.AsSingle(), b.AsSingle());
            var odd = Avx.UnpackHigh(a.AsSingle(), b.AsSingle());
            low = Avx.Permute2x128(even, odd, 0x20).As<float, T>();
            high = Avx.Permute2x128(even, odd, 0x31).As<float, T>();
        }
        else if (typeof(T) == typeof(double) && Avx.IsSupported)
        {
            var even = Avx.UnpackLow(a.AsDouble(), b.AsDouble());
            var odd = Avx.UnpackHigh(a.AsDouble(), b.AsDouble());
            low = Avx.Permute2x128(even, odd, 0x20).As<double, T>();
            high = Avx.Permute2x128(even, odd, 0x31).As<double, T>();
        }
        else
        {
            var half = Vector256<T>.Count / 2;
            low = high = default;
            for (var i = 0; i < half; i++)
            {
                low = low.WithElement(2 * i, a[i]).WithElement(2 * i + 1, b[i]);
                high = high.WithElement(2 * i, a[half + i]).WithElement(2 * i + 1, b[half + i]);
            }
        }
    }

    /// <summary>Undoes <see cref="Interleave"/>: the even elements of low, high and the odd ones.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Deinterleave<T>(Vector256<T> low, Vector256<T> high, out Vector256<T> even, out Vector256<T> odd)
        where T : unmanaged
    {
        if (typeof(T) == typeof(float) && Avx512F.VL.IsSupported)
        {
            even = Avx512F.VL.PermuteVar8x32x2(low.AsSingle(), Vector256.Create(0, 2, 4, 6, 8, 10, 12, 14), high.AsSingle()).As<float, T>();
            odd = Avx512F.VL.PermuteVar8x32x2(low.AsSingle(), Vector256.Create(1, 3, 5, 7, 9, 11, 13, 15), high.AsSingle()).As<float, T>();
        }
        else if (typeof(T) == typeof(float) && Avx2.IsSupported)
        {
            var evens = Avx.Shuffle(low.AsSingle(), high.AsSingle(), 0b10_00_10_00).AsDouble();
            var odds = Avx.Shuffle(low.AsSingle(), high.AsSingle(), 0b11_01_11_01).AsDouble();
            even = Avx2.Permute4x64(evens, 0b11_01_10_00).As<double, T>();
            odd = Avx2.Permute4x64(odds, 0b11_01_10_00).As<double, T>();
        }
        else if (typeof(T) == typeof(double) && Avx2.IsSupported)
        {
            even = Avx2.Permute4x64(Avx.UnpackLow(low.AsDouble(), high.AsDouble()), 0b11_01_10_00).As<double, T>();
            odd = Avx2.Permute4x64(Avx.UnpackHigh(low.AsDouble(), high.AsDouble()), 0b11_01_10_00).As<double, T>();
        }
        else
        {
            var half = Vector256<T>.Count / 2;
            even = odd = default;
            for (var i = 0; i < half; i++)
            {
                even = even.WithElement(i, low[2 * i]).WithElement(half + i, high[2 * i]);
                odd = odd.WithElement(i, low[2 * i + 1]).WithElement(half + i, high[2 * i + 1]);
            }
        }
    }

    /// <summary>The elements in the opposite order.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector256<T> Reverse<T>(Vector256<T> v)
        where T : unmanaged =>
        typeof(T) == typeof(float)
            ? Vector256.Shuffle(v.AsSingle(), Vector256.Create(7, 6, 5, 4, 3, 2, 1, 0)).As<float, T>()
            : Vector256.Shuffle(v.AsDouble(), Vector256.Create(3L, 2, 1, 0)).As<double, T>();
}
