using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Dsp.Tests.Fourier;

public sealed class FftClosedFormTests
{
    // The sizes meet every path: plain loops, each last pass (4 and 8 points), with and without passes in between.
    public static TheoryData<int> Sizes => [2, 4, 16, 64, 128, 256, 512, 1024, 4096];

    // X[k] of a unit impulse at n0 is exp(−j2πkn0/N): kernel sign, bin order and scale in one.
    [Theory]
    [MemberData(nameof(Sizes))]
    public void DelayedImpulseIsATurningUnitVector(int size)
    {
        var fft = new RealFft<double>(size);
        var (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
        for (var delay = 0; delay < size; delay += Math.Max(1, size / 7))
        {
            var signal = new double[size];
            signal[delay] = 1;
            fft.Forward(signal, re, im);
            for (var k = 0; k < fft.BinCount; k++)
            {
                Assert.Equal(double.CosPi(2.0 * k * delay / size), re[k], 1e-14);
                Assert.Equal(-double.SinPi(2.0 * k * delay / size), im[k], 1e-14);
            }
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void CosineFillsItsOwnBinOnly(int size)
    {
        var fft = new RealFft<float>(size);
        var (re, im, signal) = (new float[fft.BinCount], new float[fft.BinCount], new float[size]);
        for (var bin = 0; bin < fft.BinCount; bin += Math.Max(1, size / 13))
        {
            for (var n = 0; n < size; n++)
                signal[n] = (float)double.CosPi(2.0 * bin * n / size);
            fft.Forward(signal, re, im);
            for (var k = 0; k < fft.BinCount; k++)
            {
                var expected = k != bin ? 0 : bin == 0 || bin == size / 2 ? size : size / 2;
                // Rounding of the input (2^-25 each) and of the transform: well below 1e-6 of the line's height.
                Assert.Equal(expected, re[k], 1e-6 * size);
                Assert.Equal(0, im[k], 1e-6 * size);
            }
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void OutputMayBeTheInput(int size)
    {
        var fft = new ComplexFft<float>(size);
        var (re, im) = (FftSignals.Noise<float>(size, 1), FftSignals.Noise<float>(size, 2));
        var (outRe, outIm) = (new float[size], new float[size]);
        fft.Forward(re, im, outRe, outIm);
        fft.Forward(re, im, re, im);
        Assert.Equal(outRe, re);
        Assert.Equal(outIm, im);
    }

    [Fact]
    public void TransformsAllocateNothing()
    {
        var fft = new RealFft<float>(1024);
        var (signal, re, im) = (new float[1024], new float[513], new float[513]);
        var before = GC.GetAllocatedBytesForCurrentThread();
        fft.Forward(signal, re, im);
        fft.Inverse(re, im, signal);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(-4)]
    [InlineData(1000)]
    public void SizesThatAreNoPowerOfTwoAreRefused(int size) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new RealFft<float>(size));

    [Fact]
    public void SpansOfTheWrongLengthAreNamed()
    {
        var fft = new RealFft<float>(8);
        var exception = Assert.Throws<ArgumentException>(() => fft.Forward(new float[8], new float[4], new float[5]));
        Assert.Contains("'re' has 4 elements; the transform needs 5", exception.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => fft.Inverse(new float[5], new float[5], new float[7]));
    }

    [Fact]
    public void OtherElementTypesAreRefused() => Assert.Throws<NotSupportedException>(() => new RealFft<Half>(8));
}
