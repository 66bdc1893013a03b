using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Ambisonics;

public class FieldRotationTests
{
    private static readonly (double Yaw, double Pitch, double Roll)[] Turns =
        [(0, 0, 0), (90, 0, 0), (-37, 0, 0), (0, 25, 0), (0, 0, 180), (12.5, -70, 33), (-140, 89.999, 5)];

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void TurningTheFieldEqualsMovingTheSource(int order)
    {
        var channels = SphericalHarmonics.ChannelCount(order);
        var matrix = new double[channels * channels];
        double[] before = new double[channels], expected = new double[channels];
        foreach (var (yaw, pitch, roll) in Turns)
        {
            var turn = Rotation3D.FromYawPitchRollDeg(yaw, pitch, roll);
            FieldRotation.Fill(turn, order, matrix);
            foreach (var u in Sphere.Directions())
            {
                SphericalHarmonics.Evaluate(u, before);
                SphericalHarmonics.Evaluate(turn.Apply(u), expected);
                for (var i = 0; i < channels; i++)
                {
                    var sum = 0.0;
                    for (var j = 0; j < channels; j++)
                        sum += matrix[i * channels + j] * before[j];
                    Assert.Equal(expected[i], sum, 1e-13);
                }
            }
        }
    }

    [Theory] // closed form: about the vertical, the pair of degree ±m turns like a plane vector by m times the angle
    [InlineData(17)]
    [InlineData(-120)]
    public void YawTurnsEachPairOfDegreesByMTimesTheAngle(double yawDeg)
    {
        var matrix = new double[256];
        FieldRotation.Fill(Rotation3D.FromYawPitchRollDeg(yawDeg, 0, 0), 3, matrix);
        for (var i = 0; i < 16; i++)
        {
            for (var j = 0; j < 16; j++)
            {
                int n = SphericalHarmonics.OrderOf(i), m = i - n * n - n;
                var (sin, cos) = Math.SinCos(Math.Abs(m) * yawDeg * Math.PI / 180);
                var mirrored = n * n + n - m;
                var expected = i == j ? cos : j == mirrored ? (m < 0 ? sin : -sin) : 0;
                Assert.Equal(expected, matrix[i * 16 + j], 1e-14);
            }
        }
    }

    [Fact]
    public void SignsOfTheTurnsAreAsDocumented()
    {
        var ahead = new Direction(0, 0);
        var left = new Direction(90, 0);
        Assert.Equal(30, Rotation3D.FromYawPitchRollDeg(30, 0, 0).Apply(ahead).AzimuthDeg, 1e-12);
        Assert.Equal(30, Rotation3D.FromYawPitchRollDeg(0, 30, 0).Apply(ahead).ElevationDeg, 1e-12);
        Assert.Equal(30, Rotation3D.FromYawPitchRollDeg(0, 0, 30).Apply(left).ElevationDeg, 1e-12);
    }

    [Fact]
    public void TheInverseUndoesTheTurn()
    {
        foreach (var (yaw, pitch, roll) in Turns)
        {
            var turn = Rotation3D.FromYawPitchRollDeg(yaw, pitch, roll);
            foreach (var u in Sphere.Directions())
                Assert.Equal(0, (turn.Inverse().Apply(turn.Apply(u)) - u).Length, 1e-14);
        }
    }
}
