using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Dsp.Fourier;

/// <summary>How the first pass reads its input and the last pass writes its output.</summary>
/// <remarks>A type argument, so that the loop is compiled once for each way with nothing to decide inside.</remarks>
internal interface IPassEnd<T>
    where T : unmanaged
{
    static abstract ComplexLanes<T> Load(ref T re, ref T im, nuint at);

    static abstract void Store(ComplexLanes<T> value, ref T re, ref T im, nuint at);

    static abstract (T Re, T Im) LoadOne(ref T re, ref T im, int at);

    static abstract void StoreOne((T Re, T Im) value, ref T re, ref T im, int at);
}

/// <summary>Real and imaginary parts in two runs.</summary>
internal readonly struct SplitEnd<T> : IPassEnd<T>
    where T : unmanaged
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> Load(ref T re, ref T im, nuint at) => ComplexLanes<T>.Load(ref re, ref im, at);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(ComplexLanes<T> value, ref T re, ref T im, nuint at) => value.Store(ref re, ref im, at);

    public static (T Re, T Im) LoadOne(ref T re, ref T im, int at) => (Unsafe.Add(ref re, at), Unsafe.Add(ref im, at));

    public static void StoreOne((T Re, T Im) value, ref T re, ref T im, int at) =>
        (Unsafe.Add(ref re, at), Unsafe.Add(ref im, at)) = value;
}

/// <summary>
/// One run of pairs. A real signal is read as pairs: its even samples are the real parts. Written the other way about,
/// imaginary part first, because an inverse transform runs with real and imaginary parts exchanged.
/// </summary>
internal readonly struct PairEnd<T> : IPassEnd<T>
    where T : unmanaged
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static ComplexLanes<T> Load(ref T pairs, ref T unused, nuint at)
    {
        var low = Vector256.LoadUnsafe(ref pairs, 2 * at);
        var high = Vector256.LoadUnsafe(ref pairs, 2 * at + (nuint)Vector256<T>.Count);
        Lanes.Deinterleave(low, high, out var even, out var odd);
        return new ComplexLanes<T>(even, odd);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Store(ComplexLanes<T> value, ref T pairs, ref T unused, nuint at)
    {
        Lanes.Interleave(value.Im, value.Re, out var low, out var high);
        low.StoreUnsafe(ref pairs, 2 * at);
        high.StoreUnsafe(ref pairs, 2 * at + (nuint)Vector256<T>.Count);
    }

    public static (T Re, T Im) LoadOne(ref T pairs, ref T unused, int at) => (Unsafe.Add(ref pairs, 2 * at), Unsafe.Add(ref pairs, 2 * at + 1));

    public static void StoreOne((T Re, T Im) value, ref T pairs, ref T unused, int at) =>
        (Unsafe.Add(ref pairs, 2 * at + 1), Unsafe.Add(ref pairs, 2 * at)) = value;
}
