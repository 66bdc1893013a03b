namespace CaptureProc.Dsp.Geometry;

/// <summary>A turn of space, as an orthonormal 3x3 matrix.</summary>
/// <remarks>
/// The turn is said in three angles, in degrees, and built as yaw · pitch · roll: roll happens first, about the front axis,
/// then pitch, then yaw about the vertical. Positive yaw turns to the left, positive pitch turns the front upwards, positive
/// roll lifts the left side. So a source at azimuth a stands at a + yaw after a turn by yaw alone.
/// </remarks>
public readonly record struct Rotation3D
{
    private readonly Vector3D rowX, rowY, rowZ;

    private Rotation3D(Vector3D rowX, Vector3D rowY, Vector3D rowZ) => (this.rowX, this.rowY, this.rowZ) = (rowX, rowY, rowZ);

    public static Rotation3D Identity { get; } = new(Vector3D.Front, Vector3D.Left, Vector3D.Up);

    public static Rotation3D FromYawPitchRollDeg(double yawDeg, double pitchDeg, double rollDeg)
    {
        const double radPerDeg = Math.PI / 180;
        var (sy, cy) = Math.SinCos(yawDeg * radPerDeg);
        var (sp, cp) = Math.SinCos(pitchDeg * radPerDeg);
        var (sr, cr) = Math.SinCos(rollDeg * radPerDeg);
        var yaw = new Rotation3D(new(cy, -sy, 0), new(sy, cy, 0), Vector3D.Up);
        var pitch = new Rotation3D(new(cp, 0, -sp), Vector3D.Left, new(sp, 0, cp));
        var roll = new Rotation3D(Vector3D.Front, new(0, cr, -sr), new(0, sr, cr));
        return yaw * pitch * roll;
    }

    public Vector3D Apply(Vector3D v) => new(Vector3D.Dot(rowX, v), Vector3D.Dot(rowY, v), Vector3D.Dot(rowZ, v));

    public Direction Apply(Direction d) => Direction.Of(Apply(d.ToUnitVector()));

    /// <summary>The turn that undoes this one.</summary>
    public Rotation3D Inverse() => new(
        new(rowX.X, rowY.X, rowZ.X), new(rowX.Y, rowY.Y, rowZ.Y), new(rowX.Z, rowY.Z, rowZ.Z));

    /// <summary>First b, then a.</summary>
    public static Rotation3D operator *(Rotation3D a, Rotation3D b)
    {
        var t = b.Inverse();
        return new(
            new(Vector3D.Dot(a.rowX, t.rowX), Vector3D.Dot(a.rowX, t.rowY), Vector3D.Dot(a.rowX, t.rowZ)),
            new(Vector3D.Dot(a.rowY, t.rowX), Vector3D.Dot(a.rowY, t.rowY), Vector3D.Dot(a.rowY, t.rowZ)),
            new(Vector3D.Dot(a.rowZ, t.rowX), Vector3D.Dot(a.rowZ, t.rowY), Vector3D.Dot(a.rowZ, t.rowZ)));
    }
}
