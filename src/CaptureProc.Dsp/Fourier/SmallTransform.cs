using System.Numerics;
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

    public static void Run<T, TIn, TOut>(ref T inRe, ref T inIm, ref T outRe, ref T outIm, Span<T> re, Span<T> im, ReadOnlySpan<T> factors)
        where T : unmanaged, IFloatingPointIeee754<T>
        where TIn : IPassEnd<T>
        where TOut : IPassEnd<T>
    {
        var size = re.Length;
        var octaves = BitOperations.Log2((uint)size);
        for (var i = 0; i < size; i++)
        {
            var reversed = Reverse(i, octaves);
            (re[reversed], im[reversed]) = TIn.LoadOne(ref inRe, ref inIm, i);
        }

        for (var half = 1; half < size; half *= 2)
            for (var start = 0; start < size; start += 2 * half)
                for (var k = 0; k < half; k++)
                {
                    var (low, high, factor) = (start + k, start + k + half, k * (size / half));
                    var turnedRe = re[high] * factors[factor] - im[high] * factors[factor + 1];
                    var turnedIm = re[high] * factors[factor + 1] + im[high] * factors[factor];
                    (re[high], im[high]) = (re[low] - turnedRe, im[low] - turnedIm);
                    (re[low], im[low]) = (re[low] + turnedRe, im[low] + turnedIm);
                }

        for (var i = 0; i < size; i++)
            TOut.StoreOne((re[i], im[i]), ref outRe, ref outIm, i);
    }

    private static int Reverse(int index, int bits)
    {
        var reversed = 0;
        for (var bit = 0; bit < bits; bit++, index >>= 1)
            reversed = (reversed << 1) | (index & 1);
        return reversed;
    }
}
