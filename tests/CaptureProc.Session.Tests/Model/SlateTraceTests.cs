namespace CaptureProc.Session.Tests.Model;

public sealed class SlateTraceTests
{
    [Fact]
    public void ATraceKeepsItsShapeToHalfAStep()
    {
        var samples = Enumerable.Range(0, 200).Select(n => 0.3f * MathF.Sin(n * 0.11f)).ToArray();
        var points = SlateTrace.ToPoints(SlateTrace.ToText(samples));
        Assert.Equal(samples.Length, points.Length);
        var peak = samples.Max(MathF.Abs);
        foreach (var (sample, point) in samples.Zip(points))
            Assert.Equal(sample / peak, point, 0.5f / 127 + 1e-6f);
    }

    [Fact]
    public void OfManySamplesThePeaksStay()
    {
        var samples = new float[48000];
        (samples[100], samples[30001]) = (0.5f, -1);
        var points = SlateTrace.ToPoints(SlateTrace.ToText(samples));
        Assert.Equal(SlateTraces.MostPoints, points.Length);
        Assert.Equal(-1, points[30001 * SlateTraces.MostPoints / 48000]);
        Assert.Equal(0.5f, points[0], 0.5f / 127);
        Assert.Equal(2, points.Count(p => p != 0));
    }

    [Theory]
    [InlineData("")]
    [InlineData("no trace")]
    public void WhatIsNoTraceHasNoPoints(string text) => Assert.Empty(SlateTrace.ToPoints(text));

    [Fact]
    public void SilenceIsALine() => Assert.All(SlateTrace.ToPoints(SlateTrace.ToText(new float[50])), point => Assert.Equal(0, point));
}
