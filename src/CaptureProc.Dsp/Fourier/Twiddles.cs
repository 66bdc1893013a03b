using System.Numerics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Fourier;

/// <summary>The factors exp(−j2πpk/n), k = 1, 2, 3, that a radix-4 pass multiplies its results by.</summary>
/// <remarks>
/// Thread: [any] once made. Computed in double and rounded once. The angle 2pk/n is exact in binary since n is a power of
/// two, and SinCosPi is exact at multiples of a quarter turn, so no error is carried from factor to factor as a recurrence would.
/// </remarks>
internal static class Twiddles
{
    /// <summary>For passes that keep one p a vector: six numbers a p, (re, im) for k = 1, 2, 3.</summary>
    public static AlignedBuffer<T> Scalars<T>(int length)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        var table = new AlignedBuffer<T>(length / 4 * 6);
        for (var p = 0; p < length / 4; p++)
            for (var k = 1; k <= 3; k++)
            {
                var (re, im) = Factor<T>(p * k, length);
                table.Span[6 * p + 2 * k - 2] = re;
                table.Span[6 * p + 2 * k - 1] = im;
            }
        return table;
    }

    /// <summary>
    /// For passes whose vectors run over several p: six vectors a group of lanes, (re, im) for k = 1, 2, 3, every p repeated
    /// <paramref name="stride"/> times.
    /// </summary>
    public static AlignedBuffer<T> Vectors<T>(int length, int stride, int lanes)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        var quarter = length / 4 * stride;
        var table = new AlignedBuffer<T>(quarter * 6);
        for (var i = 0; i < quarter; i++)
            for (var k = 1; k <= 3; k++)
            {
                var (re, im) = Factor<T>(i / stride * k, length);
                var vector = (i / lanes * 6 + 2 * k - 2) * lanes + i % lanes;
                table.Span[vector] = re;
                table.Span[vector + lanes] = im;
            }
        return table;
    }

    public static (T Re, T Im) Factor<T>(int step, int length)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        var (sin, cos) = double.SinCosPi(-2.0 * step / length);
        return (T.CreateChecked(cos), T.CreateChecked(sin));
    }
}
