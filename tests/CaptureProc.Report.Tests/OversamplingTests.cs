using CaptureProc.Report.Readings;

namespace CaptureProc.Report.Tests;

public class OversamplingTests
{
    // Closed form: a sine is known between its samples too. Up to 0.8 of half the rate the kernel's own error is 3e-5 sample.
    [Theory]
    [InlineData(0.05)]
    [InlineData(0.45)]
    [InlineData(0.8)]
    public void PointsLieOnTheSineBetweenItsSamples(double shareOfNyquist)
    {
        const int length = 40;
        var omega = Math.PI * shareOfNyquist;
        var samples = Enumerable.Range(0, length + 2 * Oversampling.Margin).Select(n => (float)Math.Sin(omega * (n - Oversampling.Margin) + 0.3)).ToArray();

        var points = Oversampling.Between(samples);

        Assert.Equal(length * Oversampling.PointsPerSample, points.Length);
        for (var i = 0; i < points.Length; i++)
            Assert.Equal(Math.Sin(omega * i * Oversampling.Step + 0.3), points[i], 2e-4);
    }
}
