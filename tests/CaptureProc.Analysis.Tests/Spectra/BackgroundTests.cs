using CaptureProc.Analysis.Spectra;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.Spectra;

/// <summary>What the background of a recording is taken to be, against noises whose statistics are known in closed form.</summary>
public sealed class BackgroundTests
{
    private const int Length = 100_000;

    // x[n] = 0.9·x[n−1] + e[n]: autocovariance 0.9^|k|/(1 − 0.81), density 1/|1 − 0.9·e^{−jω}|².
    private const double Pole = 0.9;

    [Fact]
    public void AutocovarianceOfAFirstOrderNoiseIsItsPowers()
    {
        var r = Background.Autocovariance(Noise(), 6, 4000);
        for (var lag = 0; lag < 6; lag++)
            Assert.Equal(Math.Pow(Pole, lag) / (1 - Pole * Pole), r[lag], 0.15);
    }

    [Fact]
    public void DensityOfAFirstOrderNoiseIsItsResponse()
    {
        var transform = new Transform(1024);
        var density = Background.Density(Noise(), transform, 256);
        foreach (var bin in new[] { 20, 100, 300, 500 })
        {
            var response = 1 / (1 - 2 * Pole * Math.Cos(transform.Omega(bin)) + Pole * Pole);
            Assert.Equal(1, density[bin] / response, 0.2);
        }
    }

    [Fact]
    public void PredictionLeavesWhiteNoiseOfTheInnovationsVariance()
    {
        var noise = Noise();
        var white = PredictionError.Of(noise).Apply(noise);
        var r = Background.Autocovariance(white.AsSpan(100), 8, 1_000_000);
        Assert.Equal(1, r[0], 0.03);
        for (var lag = 1; lag < 8; lag++)
            // 100 000 samples know a correlation of 0 to 0.003; four times that.
            Assert.Equal(0, r[lag] / r[0], 0.013);
    }

    [Fact]
    public void PredictionLeavesNoTraceOfALaterSound()
    {
        var noise = Noise();
        var filter = PredictionError.Of(noise.AsSpan(0, 5000));
        var before = filter.Apply(noise);
        noise[7000] += 1000;
        var after = filter.Apply(noise);
        Assert.Equal(before[..7000], after[..7000]);
        Assert.NotEqual(before[7000], after[7000]);
    }

    private static double[] Noise()
    {
        var chance = new SeededRandom(11);
        var noise = new double[Length];
        var state = 0.0;
        for (var n = 0; n < Length; n++)
            noise[n] = state = Pole * state + chance.Gaussian();
        return noise;
    }
}
