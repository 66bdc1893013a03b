using System.Numerics;
using CaptureProc.Dsp.Fourier;
using MathNet.Numerics.IntegralTransforms;

namespace CaptureProc.Dsp.Tests.Fourier;

/// <summary>
/// Source: MathNet.Numerics 5.0.0, Fourier.Forward with FourierOptions.AsymmetricScaling (unscaled, kernel exp(−j2πkn/N)), in double.
/// Bound: each of the log2 N levels of butterflies adds at most about one rounding step u (2^-24 or 2^-53) to the relative
/// L2 error (Higham, Accuracy and Stability of Numerical Algorithms, ch. 24: error ≤ log2 N · O(u)); u·(1 + log2 N) is asserted, and
/// twice that for double, because the reference rounds as often as we do.
/// </summary>
public sealed class FftAccuracyTests
{
    public static TheoryData<int> RealSizes => Powers(1, 16);

    public static TheoryData<int> ComplexSizes => Powers(0, 15);

    [Theory]
    [MemberData(nameof(RealSizes))]
    public void RealTransformOfFloatsAgreesWithMathNet(int size) => CheckReal<float>(size, Math.ScaleB(1, -24));

    [Theory]
    [MemberData(nameof(RealSizes))]
    public void RealTransformOfDoublesAgreesWithMathNet(int size) => CheckReal<double>(size, 2 * Math.ScaleB(1, -53));

    [Theory]
    [MemberData(nameof(ComplexSizes))]
    public void ComplexTransformOfFloatsAgreesWithMathNet(int size) => CheckComplex<float>(size, Math.ScaleB(1, -24));

    [Theory]
    [MemberData(nameof(ComplexSizes))]
    public void ComplexTransformOfDoublesAgreesWithMathNet(int size) => CheckComplex<double>(size, 2 * Math.ScaleB(1, -53));

    private static void CheckReal<T>(int size, double roundingStep)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        var signal = FftSignals.Noise<T>(size, seed: size);
        var expected = Array.ConvertAll(signal, x => new Complex(double.CreateChecked(x), 0));
        MathNet.Numerics.IntegralTransforms.Fourier.Forward(expected, FourierOptions.AsymmetricScaling);
        var fft = new RealFft<T>(size);
        var (re, im) = (new T[fft.BinCount], new T[fft.BinCount]);
        fft.Forward(signal, re, im);
        var bound = roundingStep * (1 + Math.Log2(size));
        Assert.True(FftSignals.RelativeError(re, im, expected) <= bound, $"forward {FftSignals.RelativeError(re, im, expected):e2}, bound {bound:e2}");

        var back = new T[size];
        fft.Inverse(re, im, back);
        var error = FftSignals.RelativeError(back, signal);
        Assert.True(error <= 2 * bound, $"there and back {error:e2}, bound {2 * bound:e2}");
    }

    private static void CheckComplex<T>(int size, double roundingStep)
        where T : unmanaged, IFloatingPointIeee754<T>
    {
        var re = FftSignals.Noise<T>(size, seed: 2 * size);
        var im = FftSignals.Noise<T>(size, seed: 2 * size + 1);
        var expected = new Complex[size];
        for (var n = 0; n < size; n++)
            expected[n] = new Complex(double.CreateChecked(re[n]), double.CreateChecked(im[n]));
        MathNet.Numerics.IntegralTransforms.Fourier.Forward(expected, FourierOptions.AsymmetricScaling);
        var fft = new ComplexFft<T>(size);
        var (outRe, outIm) = (new T[size], new T[size]);
        fft.Forward(re, im, outRe, outIm);
        var error = FftSignals.RelativeError(outRe, outIm, expected);
        var bound = roundingStep * (1 + Math.Log2(size));
        Assert.True(error <= bound, $"forward {error:e2}, bound {bound:e2}");

        fft.Inverse(outRe, outIm, outRe, outIm);
        Assert.True(FftSignals.RelativeError(outRe, re) <= 2 * bound);
        Assert.True(FftSignals.RelativeError(outIm, im) <= 2 * bound);
    }

    private static TheoryData<int> Powers(int from, int to)
    {
        var sizes = new TheoryData<int>();
        for (var octave = from; octave <= to; octave++)
            sizes.Add(1 << octave);
        return sizes;
    }
}
