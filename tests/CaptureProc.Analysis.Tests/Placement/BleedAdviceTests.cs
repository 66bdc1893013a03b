using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Tests.Placement;

/// <summary>Advice against closed forms: a first-order pattern and 1/r.</summary>
public sealed class BleedAdviceTests
{
    private static readonly Vector3D Spot = default, Own = new(0.6, 0, 0);

    [Fact]
    public void TurningAnOmniHelpsNobody() => Assert.Equal((0, 0), Turn(BleedAdvice.Of(Spot, Own, new(0, 2, 0), FirstOrderPattern.Omni)));

    [Fact]
    public void ACardioidTurnedByAsMuchAsItsOwnPlayerCanSpareLosesWhatThePatternSays()
    {
        // 0.5 + 0.5·cos 65° is −3.0 dB; the other goes from 90° (−6.02 dB) to 155° (−26.6 dB, held at −20).
        var advice = BleedAdvice.Of(Spot, Own, new(0, 2, 0), FirstOrderPattern.Cardioid);
        Assert.InRange(advice.TurnDeg, 40, 66);
        var ownDb = 20 * Math.Log10(0.5 + 0.5 * Math.Cos(advice.TurnDeg * Math.PI / 180));
        var otherDb = Math.Max(-20, 20 * Math.Log10(0.5 + 0.5 * Math.Cos((90 + advice.TurnDeg) * Math.PI / 180)));
        Assert.Equal(20 * Math.Log10(0.5) - otherDb + ownDb, advice.TurnFallDb, 1e-9);
    }

    [Fact]
    public void HalfTheDistanceIsSixDecibelsAgainstAPlayerFarAway()
    {
        var advice = BleedAdvice.Of(Spot, Own, new(0, 200, 0), FirstOrderPattern.Omni);
        Assert.Equal(0.3, advice.NearerM, 1e-12);
        Assert.Equal(20 * Math.Log10(2), advice.NearerFallDb, 0.01);
    }

    private static (double, double) Turn(BleedAdvice advice) => (advice.TurnDeg, advice.TurnFallDb);
}
