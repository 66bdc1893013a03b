using CaptureProc.Analysis.Placement;

namespace CaptureProc.Analysis.Tests.Placement;

public class PlacementAdviceTests
{
    [Theory]
    [InlineData(-6.0206, 0, 0.5)]
    [InlineData(0, -6.0206, 2)]
    [InlineData(3, 3, 1)]
    public void SixDecibelsAreTwiceTheDistance(double ratioDb, double wantedDb, double factor)
    {
        var advice = new PlacementAdvice(ratioDb, 0.7, wantedDb, 4);

        Assert.Equal(factor, advice.Factor, 1e-4);
        Assert.Equal(4 * factor, advice.WantedDistanceM!.Value, 1e-3);
    }

    [Theory]
    [InlineData(-2.1, 0.7, PlacementMove.Closer)]
    [InlineData(2.1, 0.7, PlacementMove.Farther)]
    [InlineData(-0.6, 0.7, PlacementMove.Stay)]
    [InlineData(1.5, 3, PlacementMove.Unsure)]
    [InlineData(-4, 3, PlacementMove.Closer)]
    public void TheMoveFollowsTheRatioAsFarAsItIsKnown(double ratioDb, double uncertaintyDb, PlacementMove move) =>
        Assert.Equal(move, new PlacementAdvice(ratioDb, uncertaintyDb, 0, null).Move);

    [Fact]
    public void TheCommonDistanceIsThatOfTheMeanPower()
    {
        // 1/r² of 2 m and 4 m: (1/4 + 1/16)/2 = 5/32.
        Assert.Equal(Math.Sqrt(32.0 / 5), PlacementAdvice.CommonDistanceM([2, 4])!.Value, 1e-9);
        Assert.Null(PlacementAdvice.CommonDistanceM([]));
    }
}
