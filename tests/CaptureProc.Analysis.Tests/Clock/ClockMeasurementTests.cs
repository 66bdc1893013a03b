using CaptureProc.Analysis.Clock;

namespace CaptureProc.Analysis.Tests.Clock;

public class ClockMeasurementTests(ITestOutputHelper output)
{
    // Truth by construction: the spot's frames are made at the rate that its clock is said to have.
    [Theory]
    [InlineData(20, 0.0, 45)]
    [InlineData(20, -4217.4, 45)]
    [InlineData(-35, 15033.7, 45)]
    [InlineData(20, 801.9, 20)]
    [InlineData(0, -90.25, 45)]
    public void DriftOverAnHourIsFoundAndTheEndLiesInPlace(double driftPpm, double offsetFrames, double signalToNoiseDb)
    {
        var (worstPpm, worstEnd) = (0.0, 0.0);
        for (var seed = 1UL; seed <= 3; seed++)
        {
            var recorders = new TwoRecorders(driftPpm, offsetFrames, 3600, signalToNoiseDb, seed);
            var (head, tail) = recorders.ClapSeconds;
            var found = new ClockMeasurement(recorders, recorders.Input).Measure(0, head, tail);

            Assert.NotNull(found.DriftPpm);
            var atFrame = found.AtSeconds * TwoRecorders.RateHz;
            var end = recorders.FrameCount;
            var endDelay = found.Spot.DelaySamples!.Value - found.DriftPpm.Value * 1e-6 * (end - atFrame);
            worstPpm = Math.Max(worstPpm, Math.Abs(found.DriftPpm.Value - driftPpm));
            worstEnd = Math.Max(worstEnd, Math.Abs(endDelay - recorders.TrueDelay(end)));
            Assert.InRange(found.Spot.DelaySamples.Value - recorders.TrueDelay(atFrame), -0.3, 0.3);
            // Stated uncertainty covers the error to four standard deviations.
            Assert.True(Math.Abs(found.DriftPpm.Value - driftPpm) < 4 * found.DriftSigmaPpm + 1e-5, $"{found.DriftPpm} ± {found.DriftSigmaPpm}");
        }
        output.WriteLine($"{driftPpm} ppm, {signalToNoiseDb} dB: worst drift error {worstPpm:0.00000} ppm, worst end of take {worstEnd:0.000} samples");
        Assert.True(worstPpm < 0.05, $"{worstPpm} ppm");
        Assert.True(worstEnd < 0.2, $"{worstEnd} samples");
    }

    [Fact]
    public void SlatesAreFoundWithoutBeingTold()
    {
        var recorders = new TwoRecorders(20, 15033.7, 120, 45, 3);
        var found = new ClockMeasurement(recorders, recorders.Input).Measure(0);
        Assert.NotNull(found.DriftPpm);
        Assert.Equal(20, found.DriftPpm.Value, 0.02);
        Assert.InRange(found.TailSeconds - recorders.ClapSeconds.Tail, -0.1, 0.1);
        Assert.Equal(recorders.TrueDelay(found.AtSeconds * TwoRecorders.RateHz), found.Spot.DelaySamples!.Value, 0.1);
    }

    [Fact]
    public void SlatesTooNearToEachOtherAreRefusedInWords()
    {
        var recorders = new TwoRecorders(20, 0, 60, 45, 9);
        var found = new ClockMeasurement(recorders, recorders.Input).Measure(0, 7, 9);
        Assert.Null(found.DriftPpm);
        Assert.Contains("two slates", found.Spot.Note, StringComparison.Ordinal);
    }

    [Fact]
    public void MissingTailIsNamed()
    {
        var recorders = new TwoRecorders(20, 0, 120, 45, 9);
        var found = new ClockMeasurement(recorders, recorders.Input).Measure(0, recorders.ClapSeconds.Head, 60);
        Assert.Null(found.DriftPpm);
        Assert.StartsWith("tail slate: ", found.Spot.Note, StringComparison.Ordinal);
    }
}
