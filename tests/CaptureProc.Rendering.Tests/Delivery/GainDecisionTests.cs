using CaptureProc.Rendering.Delivery;

namespace CaptureProc.Rendering.Tests.Delivery;

public class GainDecisionTests
{
    [Fact]
    public void TargetIsReachedWhereThePeaksAllowIt() =>
        Assert.Equal(new GainDecision(5.5, 5.5, false), GainDecision.For(Measured(-28.5, -12, -10), -23, -1));

    [Theory]
    [InlineData(-6.0, -10.0)]
    [InlineData(-10.0, -6.0)]
    public void HigherOfRenderingAndChannelsMeetsTheCeiling(double renderingDbtp, double channelDbtp) =>
        Assert.Equal(new GainDecision(5, 5.5, true), GainDecision.For(Measured(-28.5, renderingDbtp, channelDbtp), -23, -1));

    [Fact]
    public void LoudProgrammeIsTurnedDownWithoutRegardToTheCeiling() =>
        Assert.Equal(new GainDecision(-8, -8, false), GainDecision.For(Measured(-15, -0.5, 0.5), -23, -1));

    [Fact]
    public void CeilingMayAskForLessThanTheTargetEvenOnTheWayDown() =>
        Assert.Equal(new GainDecision(-4, -2, true), GainDecision.For(Measured(-21, 3, 1), -23, -1));

    [Fact]
    public void WithoutTargetNothingIsChanged() =>
        Assert.Equal(new GainDecision(0, 0, false), GainDecision.For(Measured(-15, 2, 2), null, -1));

    private static ProgrammeLoudness Measured(double lufs, double renderingDbtp, double channelDbtp) =>
        new("pair", new LoudnessFigures(lufs, 5, lufs, lufs, renderingDbtp), default, channelDbtp);
}
