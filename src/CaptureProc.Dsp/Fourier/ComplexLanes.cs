using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Dsp.Fourier;

/// <summary>As many complex numbers as a 256-bit vector has lanes, real and imaginary parts apart.</summary>
internal readonly struct ComplexLanes<T>(Vector256<T> re, Vector256<T> im)
    where T : unmanaged
{
    public readonly Vector256<T> Re = re;
    public readonly Vector256<T> Im = im;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> Load(ref T re, ref T im, nuint at) => new(Vector256.LoadUnsafe(ref re, at), Vector256.LoadUnsafe(ref im, at));

    /// <summary>The same number in every lane, its imaginary part stored behind its real part.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> Broadcast(ref T pair) => new(Vector256.Create(pair), Vector256.Create(Unsafe.Add(ref pair, 1)));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Store(ref T re, ref T im, nuint at)
    {
        Re.StoreUnsafe(ref re, at);
        Im.StoreUnsafe(ref im, at);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> operator +(ComplexLanes<T> a, ComplexLanes<T> b) => new(a.Re + b.Re, a.Im + b.Im);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> operator -(ComplexLanes<T> a, ComplexLanes<T> b) => new(a.Re - b.Re, a.Im - b.Im);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> operator *(ComplexLanes<T> a, ComplexLanes<T> b) =>
        new(MultiplyAdd(a.Re, b.Re, -(a.Im * b.Im)), MultiplyAdd(a.Re, b.Im, a.Im * b.Re));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public ComplexLanes<T> TimesMinusJ() => new(Im, -Re);

    // One rounding where the processor can, two where it cannot: both are within the error that the transform states.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    internal static Vector256<T> MultiplyAdd(Vector256<T> a, Vector256<T> b, Vector256<T> c)
    {
        if (typeof(T) == typeof(float))
            return Vector256.MultiplyAddEstimate(a.AsSingle(), b.AsSingle(), c.AsSingle()).As<float, T>();
        return Vector256.MultiplyAddEstimate(a.AsDouble(), b.AsDouble(), c.AsDouble()).As<double, T>();
    }
}
