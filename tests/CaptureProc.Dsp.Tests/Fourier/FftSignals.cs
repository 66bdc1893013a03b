using System.Numerics;

namespace CaptureProc.Dsp.Tests.Fourier;

/// <summary>Inputs for the transform tests and the relative L2 distance of results.</summary>
internal static class FftSignals
{
    public static T[] Noise<T>(int length, int seed)
        where T : IFloatingPointIeee754<T>
    {
        var random = new Random(seed);
        var noise = new T[length];
        for (var n = 0; n < length; n++)
            noise[n] = T.CreateChecked(2 * random.NextDouble() - 1);
        return noise;
    }

    /// <summary>Compares as many bins as there are in re; expected may hold the mirrored half as well.</summary>
    public static double RelativeError<T>(ReadOnlySpan<T> re, ReadOnlySpan<T> im, ReadOnlySpan<Complex> expected)
        where T : IFloatingPointIeee754<T>
    {
        var (error, power) = (0.0, 0.0);
        for (var k = 0; k < re.Length; k++)
        {
            var difference = new Complex(double.CreateChecked(re[k]), double.CreateChecked(im[k])) - expected[k];
            error += difference.Real * difference.Real + difference.Imaginary * difference.Imaginary;
            power += expected[k].Real * expected[k].Real + expected[k].Imaginary * expected[k].Imaginary;
        }

        return Math.Sqrt(error / power);
    }

    public static double RelativeError<T>(ReadOnlySpan<T> actual, ReadOnlySpan<T> expected)
        where T : IFloatingPointIeee754<T>
    {
        var (error, power) = (0.0, 0.0);
        for (var n = 0; n < expected.Length; n++)
        {
            var difference = double.CreateChecked(actual[n]) - double.CreateChecked(expected[n]);
            error += difference * difference;
            power += double.CreateChecked(expected[n]) * double.CreateChecked(expected[n]);
        }

        return Math.Sqrt(error / power);
    }
}
