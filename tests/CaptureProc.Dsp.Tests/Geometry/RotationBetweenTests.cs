using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Geometry;

public sealed class RotationBetweenTests
{
    [Fact]
    public void TurnsAboutTheAxesAreYawPitchAndRoll()
    {
        // The signs of Rotation3D: yaw and roll by the right hand, pitch, which raises the front, against it.
        Close(Rotation3D.FromYawPitchRollDeg(50, 0, 0), Rotation3D.About(Vector3D.Up, 50));
        Close(Rotation3D.FromYawPitchRollDeg(0, 50, 0), Rotation3D.About(Vector3D.Left, -50));
        Close(Rotation3D.FromYawPitchRollDeg(0, 0, 50), Rotation3D.About(Vector3D.Front, 50));
    }

    [Fact]
    public void AxisAndAngleComeBackFromEveryTurn()
    {
        var random = new Random(1);
        for (var trial = 0; trial < 3000; trial++)
        {
            var axis = new Vector3D(random.NextDouble() - 0.5, random.NextDouble() - 0.5, random.NextDouble() - 0.5).Normalised();
            // Tiny turns and half turns are where formulas break.
            var angleDeg = (trial % 3) switch { 0 => 180 * random.NextDouble(), 1 => 1e-6 * random.NextDouble(), _ => 180 - 1e-6 * random.NextDouble() };
            var (foundAxis, foundDeg) = Rotation3D.About(axis, angleDeg).ToAxisAngle();
            Assert.Equal(angleDeg, foundDeg, 1e-9);
            Assert.Equal(0, (foundDeg * foundAxis - angleDeg * axis).Length, 1e-6);
        }
    }

    [Fact]
    public void HalfTurnsAboutEveryAxisAreFoundUpToTheirSense()
    {
        foreach (var axis in new[] { Vector3D.Front, Vector3D.Left, Vector3D.Up, new Vector3D(1, -2, 3).Normalised(), new Vector3D(-1, 1e-9, 0).Normalised() })
        {
            var (found, angleDeg) = Rotation3D.About(axis, 180).ToAxisAngle();
            Assert.Equal(180, angleDeg, 1e-9);
            Assert.Equal(1, Math.Abs(Vector3D.Dot(found, axis)), 1e-12);
        }
    }

    [Fact]
    public void PartsOfTheWayLieOnOneArc()
    {
        var random = new Random(2);
        for (var trial = 0; trial < 200; trial++)
        {
            var (a, b) = (Any(random), Any(random));
            Close(a, a.Towards(b, 0));
            Close(b, a.Towards(b, 1));
            var whole = AngleDeg(a, b);
            foreach (var share in new[] { 0.1, 0.5, 0.9 })
            {
                Assert.Equal(share * whole, AngleDeg(a, a.Towards(b, share)), 1e-6);
                Assert.Equal((1 - share) * whole, AngleDeg(a.Towards(b, share), b), 1e-6);
            }
        }
    }

    [Fact]
    public void StandingStillIsATurnOfZero() => Assert.Equal(0, Rotation3D.Identity.ToAxisAngle().AngleDeg);

    private static Rotation3D Any(Random random) => Rotation3D.FromYawPitchRollDeg(360 * random.NextDouble(), 180 * random.NextDouble() - 90, 360 * random.NextDouble());

    // From the trace, another route than the code's.
    private static double AngleDeg(Rotation3D a, Rotation3D b)
    {
        var turn = b * a.Inverse();
        var trace = turn.Apply(Vector3D.Front).X + turn.Apply(Vector3D.Left).Y + turn.Apply(Vector3D.Up).Z;
        return Math.Acos(Math.Clamp((trace - 1) / 2, -1, 1)) * 180 / Math.PI;
    }

    private static void Close(Rotation3D expected, Rotation3D actual)
    {
        foreach (var u in new[] { Vector3D.Front, Vector3D.Left, Vector3D.Up })
            Assert.Equal(0, (expected.Apply(u) - actual.Apply(u)).Length, 1e-12);
    }
}
