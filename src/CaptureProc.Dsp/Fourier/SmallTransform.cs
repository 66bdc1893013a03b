using System.Numerics;
using System.Runtime.CompilerServices;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Fourier;

/// <summary>The complex transform for sizes below a few vectors: radix 2, one number at a time, in place.</summary>
internal static class SmallTransform
{
    /// <summary>exp(−j2πk/size) for k below size/2, in pairs.</summary>
    public static AlignedBuffer<T> Factors<T>(int size)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        var table = new AlignedBuffer<T>(Math.Max(size, 2));
        for (var k = 0; k < Math.Max(size / 2, 1); k++)
            (table.Span[2 * k], table.Span[2 * k + 1]) = Twiddles.Factor<T>(k, size);
        return table;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Run<T, TIn, TOut>(ref T inRe, ref T inIm, ref T outRe, ref T outIm, Span<T> re, Span<T> im, ReadOnlySpan<T> factors)
        where T : unmanaged, IFloatingPointIeee754<T>
        where TIn : IPassEnd<T>
        where TOut : IPassEnd<T>
    {
        var size = re.Length;
        for (var (i, reversed) = (0, 0); i < size; i++)
        {
            (re[reversed], im[reversed]) = TIn.LoadOne(ref inRe, ref inIm, i);
            // Adds one to a number whose highest bit counts least.
            var bit = size / 2;
            for (; (reversed & bit) != 0; bit /= 2)
                reversed ^= bit;
            reversed |= bit;
        }

        for (var (half, step) = (1, size); half < size; (half, step) = (2 * half, step / 2))
            for (var k = 0; k < half; k++)
            {
                var (turnRe, turnIm) = (factors[k * step], factors[k * step + 1]);
                for (var low = k; low < size; low += 2 * half)
                {
                    var high = low + half;
                    var (turnedRe, turnedIm) = (re[high] * turnRe - im[high] * turnIm, re[high] * turnIm + im[high] * turnRe);
                    (re[high], im[high]) = (re[low] - turnedRe, im[low] - turnedIm);
                    (re[low], im[low]) = (re[low] + turnedRe, im[low] + turnedIm);
                }
            }

        for (var i = 0; i < size; i++)
            TOut.StoreOne((re[i], im[i]), ref outRe, ref outIm, i);
    }
}
