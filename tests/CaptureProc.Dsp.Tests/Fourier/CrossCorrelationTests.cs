using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Dsp.Tests.Fourier;

public sealed class CrossCorrelationTests
{
    // The definition, summed directly.
    [Theory]
    [InlineData(1, 1, 0)]
    [InlineData(100, 100, 30)]
    [InlineData(100, 37, 200)]
    [InlineData(37, 100, 99)]
    [InlineData(1000, 1000, 24)]
    public void EveryLagIsTheSumOfProducts(int firstFrames, int secondFrames, int maxLagFrames)
    {
        var first = FftSignals.Noise<double>(firstFrames, 1);
        var second = FftSignals.Noise<double>(secondFrames, 2);
        var correlation = new CrossCorrelation<double>(Math.Max(firstFrames, secondFrames), maxLagFrames);
        var lags = new double[correlation.LagCount];
        correlation.Correlate(first, second, lags);
        for (var lag = -maxLagFrames; lag <= maxLagFrames; lag++)
        {
            var sum = 0.0;
            for (var n = Math.Max(0, -lag); n < firstFrames && n + lag < secondFrames; n++)
                sum += first[n] * second[n + lag];
            // Norms are at most √(1000/3) each: rounding of 2^-53·log2 N of their product.
            Assert.Equal(sum, lags[maxLagFrames + lag], 1e-12);
        }
    }

    [Fact]
    public void PeakOfASignalAndItsLaterCopyIsAtThePositiveDelay()
    {
        var first = FftSignals.Noise<float>(500, 3);
        float[] second = [.. new float[17], .. first.AsSpan(0, 483)];
        var correlation = new CrossCorrelation<float>(500, 50);
        var lags = new float[correlation.LagCount];
        correlation.Correlate(first, second, lags);
        Assert.Equal(50 + 17, Array.IndexOf(lags, lags.Max()));
    }

    [Fact]
    public void CorrelatingAllocatesNothing()
    {
        var correlation = new CrossCorrelation<float>(500, 50);
        var (first, second, lags) = (FftSignals.Noise<float>(500, 4), FftSignals.Noise<float>(500, 5), new float[correlation.LagCount]);
        var before = GC.GetAllocatedBytesForCurrentThread();
        correlation.Correlate(first, second, lags);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }
}
