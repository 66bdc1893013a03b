using System.Numerics;
using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Benchmarks;

/// <summary>The plainest code for each job, which the kernels are compared with.</summary>
internal static class PlainLoops
{
    /// <summary>History in front: channel[i] holds tapCount − 1 earlier samples, then the block.</summary>
    public static void Convolve(MatrixFilter filter, float[][] history, float[][] output, int frames)
    {
        for (var o = 0; o < filter.Outputs; o++)
            for (var n = 0; n < frames; n++)
            {
                var sum = 0f;
                for (var i = 0; i < filter.Inputs; i++)
                {
                    var taps = filter.Taps(o, i);
                    var newest = filter.TapCount - 1 + n;
                    for (var k = 0; k < taps.Length; k++)
                        sum += taps[k] * history[i][newest - k];
                }

                output[o][n] = sum;
            }
    }

    public static void Correlate(float[] first, float[] second, float[] lags)
    {
        var maxLag = lags.Length / 2;
        for (var lag = -maxLag; lag <= maxLag; lag++)
        {
            var sum = 0f;
            for (var n = Math.Max(0, -lag); n < first.Length && n + lag < second.Length; n++)
                sum += first[n] * second[n + lag];
            lags[maxLag + lag] = sum;
        }
    }

    /// <summary>The textbook transform: bit reversal and radix 2 over complex numbers.</summary>
    public static void Transform(Complex[] data)
    {
        for (int i = 1, j = 0; i < data.Length; i++)
        {
            var bit = data.Length >> 1;
            for (; (j & bit) != 0; bit >>= 1)
                j ^= bit;
            j |= bit;
            if (i < j)
                (data[i], data[j]) = (data[j], data[i]);
        }

        for (var length = 2; length <= data.Length; length *= 2)
        {
            var step = Complex.FromPolarCoordinates(1, -2 * Math.PI / length);
            for (var start = 0; start < data.Length; start += length)
            {
                var turn = Complex.One;
                for (var k = start; k < start + length / 2; k++, turn *= step)
                {
                    var turned = data[k + length / 2] * turn;
                    data[k + length / 2] = data[k] - turned;
                    data[k] += turned;
                }
            }
        }
    }
}
