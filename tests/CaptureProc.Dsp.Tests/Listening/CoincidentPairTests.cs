using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;

namespace CaptureProc.Dsp.Tests.Listening;

public sealed class CoincidentPairTests
{
    [Theory]
    [InlineData(0, 90)]
    [InlineData(0.37, 110)]
    [InlineData(0.5, 131)]
    [InlineData(1, 60)]
    public void MicrophonesHearWhatTheirPatternSays(double pattern, double angleDeg)
    {
        // s(γ) = α + (1−α)·cos γ, with γ measured as the angle between two directions.
        var pair = new CoincidentPair(angleDeg, pattern, new Direction(0, 0));
        for (var azimuthDeg = -180; azimuthDeg < 180; azimuthDeg += 15)
        {
            foreach (var elevationDeg in new[] { -70, -20, 0, 35, 90 })
            {
                var source = new Direction(azimuthDeg, elevationDeg);
                Assert.Equal(Expected(source, new Direction(angleDeg / 2, 0), pattern), Heard(pair, 0, source), 1e-6);
                Assert.Equal(Expected(source, new Direction(-angleDeg / 2, 0), pattern), Heard(pair, 1, source), 1e-6);
            }
        }
    }

    [Fact]
    public void CrossedFigureEightsPanByEqualPower()
    {
        // At 90 degrees their levels are cos(45° − φ) and cos(45° + φ), so the sum of powers is 1 for every φ.
        var pair = new CoincidentPair(90, 0, new Direction(0, 0));
        Assert.Equal(1, Heard(pair, 0, new Direction(45, 0)), 1e-6);
        Assert.Equal(0, Heard(pair, 1, new Direction(45, 0)), 1e-6);
        for (var azimuthDeg = -180; azimuthDeg < 180; azimuthDeg += 7)
        {
            var source = new Direction(azimuthDeg, 0);
            Assert.Equal(1, Math.Pow(Heard(pair, 0, source), 2) + Math.Pow(Heard(pair, 1, source), 2), 1e-6);
        }
    }

    [Theory]
    [InlineData(40, 0)]
    [InlineData(-120, 30)]
    [InlineData(0, -60)]
    public void AimTurnsThePairAsAWhole(double azimuthDeg, double elevationDeg)
    {
        var aim = new Direction(azimuthDeg, elevationDeg);
        var aimed = new CoincidentPair(90, 0.5, aim);
        Assert.Equal(Heard(aimed, 0, aim), Heard(aimed, 1, aim), 1e-6);
        Assert.Equal(0.5 + 0.5 * Math.Sqrt(0.5), Heard(aimed, 0, aim), 1e-6);
        var (left, right) = aimed.Axes();
        Assert.Equal(90, Direction.AngleBetweenDeg(Direction.Of(left), Direction.Of(right)), 1e-9);
        // The pair stays level: neither axis is above the other.
        Assert.Equal(left.Z, right.Z, 1e-12);
    }

    [Fact]
    public void OfHigherOrdersOnlyTheFirstIsUsed()
    {
        var pair = new CoincidentPair(100, 0.3, new Direction(10, 5));
        var (first, third) = (pair.ToFilter(4), pair.ToFilter(16));
        for (var ear = 0; ear < 2; ear++)
            for (var channel = 0; channel < 16; channel++)
                Assert.Equal(channel < 4 ? first.Taps(ear, channel)[0] : 0, third.Taps(ear, channel)[0]);
    }

    [Fact]
    public void UprightArrayIsHeardThroughItsFrontCapsules()
    {
        Assert.Equal(new CapsulePair(0, 1), CapsulePair.OfFront(Array(Rotation3D.Identity)));
    }

    [Fact]
    public void HangingArrayKeepsLeftOnTheLeftOfTheRoom()
    {
        // Head down, by a half turn about the front axis: FLU (0) then looks to front right down, FRD (1) to front left up.
        Assert.Equal(new CapsulePair(1, 0), CapsulePair.OfFront(Array(Rotation3D.FromYawPitchRollDeg(0, 0, 180))));
    }

    [Fact]
    public void ArrayTurnedBackwardsIsHeardThroughTheCapsulesThatNowLookForward()
    {
        // BLD (2) looks to front right then, BRU (3) to front left.
        Assert.Equal(new CapsulePair(3, 2), CapsulePair.OfFront(Array(Rotation3D.FromYawPitchRollDeg(180, 0, 0))));
    }

    [Fact]
    public void CapsulePairTakesItsTrims()
    {
        var filter = new CapsulePair(1, 3).ToFilter(4, [0, 6, 0, -20]);
        Assert.Equal(1.995262f, filter.Taps(0, 1)[0], 1e-5f);
        Assert.Equal(0.1f, filter.Taps(1, 3)[0], 1e-6f);
        Assert.Equal(0, filter.Taps(0, 3)[0]);
    }

    private static CapsuleArray Array(Rotation3D mount) =>
        new([new(45, 35.264), new(-45, -35.264), new(135, -35.264), new(-135, 35.264)], 0.0147, 0.5, mount);

    private static double Expected(Direction source, Direction axis, double pattern) =>
        pattern + (1 - pattern) * Math.Cos(Direction.AngleBetweenDeg(source, axis) * Math.PI / 180);

    private static double Heard(CoincidentPair pair, int output, Direction source)
    {
        var filter = pair.ToFilter(4);
        Span<double> field = stackalloc double[4];
        SphericalHarmonics.Evaluate(source, field);
        var sum = 0.0;
        for (var channel = 0; channel < 4; channel++)
            sum += filter.Taps(output, channel)[0] * field[channel];
        return sum;
    }
}
