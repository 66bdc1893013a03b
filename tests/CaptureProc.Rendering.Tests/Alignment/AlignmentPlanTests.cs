using CaptureProc.Rendering.Alignment;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Tests.Alignment;

public class AlignmentPlanTests
{
    [Fact]
    public void LateSpotsWaitAndNobodyIsHeldBack()
    {
        var plan = Plan(new AlignmentSettings(), Takes.Spot("harp", 812.37, 5), Takes.Spot("horn", 0, 6));

        Assert.Equal(0, plan.HeldBackFrames);
        Assert.Equal([812.37, 0], plan.Spots.Select(s => s.AppliedDelaySamples));
        Assert.Empty(plan.Findings);
    }

    [Fact]
    public void EarlySpotHoldsEverybodyBackByWholeFrames()
    {
        var plan = Plan(new AlignmentSettings(), Takes.Spot("harp", 100.5, 5), Takes.Spot("horn", -30.25, 6));

        Assert.Equal(31, plan.HeldBackFrames);
        Assert.Equal(31 / 48.0, plan.HeldBackMs, 1e-12);
        Assert.Equal([131.5, 0.75], plan.Spots.Select(s => s.AppliedDelaySamples));
    }

    [Fact]
    public void LaterMovesTheSpotsAndNotTheArray()
    {
        var plan = Plan(new AlignmentSettings { LaterMs = 2 }, Takes.Spot("harp", 100.5, 5), Takes.Spot("horn", -30.25, 6));

        Assert.Equal(0, plan.HeldBackFrames);
        Assert.Equal([196.5, 65.75], plan.Spots.Select(s => s.AppliedDelaySamples));
    }

    [Fact]
    public void SpotWithoutDelayIsOnlyHeldBackAndSaysWhy()
    {
        var plan = Plan(new AlignmentSettings { LaterMs = 2 },
            Takes.Spot("horn", -200, 6), Takes.Spot("harp", 0, 5) with { Delay = null, Note = "no click was heard" });

        Assert.Equal(104, plan.HeldBackFrames);
        Assert.Equal(104, plan.Spots[1].AppliedDelaySamples);
        var finding = Assert.Single(plan.Findings);
        Assert.Equal("no-delay", finding.Code);
        Assert.Contains("no click was heard", finding.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void DoubtfulDelayAndPolarityAreFindings()
    {
        var doubtful = Takes.Spot("harp", 5, 5);
        var plan = Plan(new AlignmentSettings(), doubtful with { Delay = doubtful.Delay! with { Confidence = 0.8 }, Polarity = null });

        Assert.Equal(["uncertain-delay", "unsure-polarity"], plan.Findings.Select(f => f.Code));
        Assert.Equal(1, plan.Spots[0].Polarity);
    }

    [Fact]
    public void GuessedCapsulesAreAFinding() =>
        Assert.Equal("assumed-geometry", Assert.Single(Plan(new AlignmentSettings(), Takes.Spot("organ", 5, 5, 6, 7, 8)).Findings).Code);

    [Fact]
    public void SpotsLineUpWithTheArrayInUseByItsOwnDelays()
    {
        var session = Takes.Session(
            Takes.Spot("harp", 812, 5) with { Delays = [new ArrayDelay { Array = "high", Samples = 300, Confidence = 0.99, Polarity = -1 }] }, Takes.Spot("horn", 100, 6));
        session = session with { Arrays = [.. session.Arrays, Takes.Array("high", 7, 8, 9, 10)] };
        var plan = AlignmentPlan.Make(session, new AlignmentSettings { Field = new() { ArrayId = "high" } });

        Assert.Equal((300, -1, true), (plan.Spots[0].AppliedDelaySamples, plan.Spots[0].Polarity, plan.Spots[0].IsAligned));
        Assert.False(plan.Spots[1].IsAligned);
        Assert.Contains("measure --array high", Assert.Single(plan.Findings).Message, StringComparison.Ordinal);
        Assert.Equal([812, 100], AlignmentPlan.Make(session, new AlignmentSettings()).Spots.Select(s => s.AppliedDelaySamples));
    }

    private static AlignmentPlan Plan(AlignmentSettings settings, params SpotEntry[] spots) => AlignmentPlan.Make(Takes.Session(spots), settings);
}
