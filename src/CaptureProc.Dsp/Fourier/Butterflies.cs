using System.Runtime.CompilerServices;

namespace CaptureProc.Dsp.Fourier;

/// <summary>Discrete Fourier transforms of 4 and 8 points over whole vectors, kernel exp(−j2πkn/N), results in natural order.</summary>
internal static class Butterflies
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Four<T>(ref ComplexLanes<T> a, ref ComplexLanes<T> b, ref ComplexLanes<T> c, ref ComplexLanes<T> d)
        where T : unmanaged
    {
        var evenSum = a + c;
        var evenDifference = a - c;
        var oddSum = b + d;
        var oddTurned = (b - d).TimesMinusJ();
        a = evenSum + oddSum;
        b = evenDifference + oddTurned;
        c = evenSum - oddSum;
        d = evenDifference - oddTurned;
    }
}
