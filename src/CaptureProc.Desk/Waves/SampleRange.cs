using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.DeskServer.Waves;

/// <summary>Smallest and largest of a run of samples, a register at a time.</summary>
/// <remarks>Thread: [any]. Shape: one element or more.</remarks>
internal static class SampleRange
{
    public static (T Low, T High) Of<T>(ReadOnlySpan<T> samples) where T : unmanaged, INumber<T> => Of(samples, samples);

    /// <summary>Smallest of one run, largest of another of the same length.</summary>
    public static (T Low, T High) Of<T>(ReadOnlySpan<T> lows, ReadOnlySpan<T> highs) where T : unmanaged, INumber<T>
    {
        var (low, high) = (lows[0], highs[0]);
        var lowVectors = MemoryMarshal.Cast<T, Vector<T>>(lows);
        var highVectors = MemoryMarshal.Cast<T, Vector<T>>(highs);
        if (lowVectors.Length > 0)
        {
            var (least, most) = (lowVectors[0], highVectors[0]);
            for (var i = 1; i < lowVectors.Length; i++)
                (least, most) = (Vector.Min(least, lowVectors[i]), Vector.Max(most, highVectors[i]));
            for (var i = 0; i < Vector<T>.Count; i++)
                (low, high) = (T.Min(low, least[i]), T.Max(high, most[i]));
        }
        for (var i = lowVectors.Length * Vector<T>.Count; i < lows.Length; i++)
            (low, high) = (T.Min(low, lows[i]), T.Max(high, highs[i]));
        return (low, high);
    }
}
