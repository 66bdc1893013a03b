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

    /// <summary>The three angles that build this turn; pitch −90…90.</summary>
    public (double YawDeg, double PitchDeg, double RollDeg) ToYawPitchRollDeg()
    {
        const double degPerRad = 180 / Math.PI;
        var (front, left, up) = (Apply(Vector3D.Front), Apply(Vector3D.Left), Apply(Vector3D.Up));
        // Straight up or down, yaw and roll turn about the same axis: all of it is called yaw.
        return Math.Sqrt(front.X * front.X + front.Y * front.Y) < 1e-9
            ? (Math.Atan2(-left.X, left.Y) * degPerRad, Math.CopySign(90, front.Z), 0)
            : (Math.Atan2(front.Y, front.X) * degPerRad, Math.Asin(Math.Clamp(front.Z, -1, 1)) * degPerRad, Math.Atan2(left.Z, up.Z) * degPerRad);
    }

    /// <summary>The turn that brings front to one direction and left to another; both of length 1 and at right angles.</summary>
    public static Rotation3D FromAxes(Vector3D front, Vector3D left) => new Rotation3D(front, left, Vector3D.Cross(front, left)).Inverse();

    // Written out for the reason that Vector3D gives.
    public bool Equals(Rotation3D other) => rowX.Equals(other.rowX) && rowY.Equals(other.rowY) && rowZ.Equals(other.rowZ);

    public override int GetHashCode() => HashCode.Combine(rowX, rowY, rowZ);

    public Vector3D Apply(Vector3D v) => new(Vector3D.Dot(rowX, v), Vector3D.Dot(rowY, v), Vector3D.Dot(rowZ, v));

    public Direction Apply(Direction d) => Direction.Of(Apply(d.ToUnitVector()));

    /// <summary>The turn that undoes this one.</summary>
    public Rotation3D Inverse() => new(
        new(rowX.X, rowY.X, rowZ.X), new(rowX.Y, rowY.Y, rowZ.Y), new(rowX.Z, rowY.Z, rowZ.Z));

    /// <summary>A turn about an axis of any length but zero, by the right-hand rule.</summary>
    public static Rotation3D About(Vector3D axis, double angleDeg)
    {
        // Rodrigues: what lies along the axis stays, the rest turns in its plane.
        var (x, y, z) = axis.Normalised();
        var (sin, cos) = Math.SinCos(angleDeg * Math.PI / 180);
        var rest = 1 - cos;
        return new(
            new(cos + rest * x * x, rest * x * y - sin * z, rest * x * z + sin * y),
            new(rest * y * x + sin * z, cos + rest * y * y, rest * y * z - sin * x),
            new(rest * z * x - sin * y, rest * z * y + sin * x, cos + rest * z * z));
    }

    /// <summary>The axis and angle, 0…180 degrees, of the one turn that is the same as this.</summary>
    public (Vector3D Axis, double AngleDeg) ToAxisAngle()
    {
        // As a unit quaternion w + v: of four ways to read it from the matrix, the one whose divisor is largest (Shepperd's
        // method), so that neither small turns nor half turns lose digits.
        var (xx, yy, zz) = (rowX.X, rowY.Y, rowZ.Z);
        var (p, q, r) = (rowZ.Y - rowY.Z, rowX.Z - rowZ.X, rowY.X - rowX.Y);
        double w;
        Vector3D v;
        if (xx + yy + zz >= Math.Max(xx, Math.Max(yy, zz)))
            (w, v) = (1 + xx + yy + zz, new(p, q, r));
        else if (xx >= yy && xx >= zz)
            (w, v) = (p, new(1 + xx - yy - zz, rowY.X + rowX.Y, rowX.Z + rowZ.X));
        else if (yy >= zz)
            (w, v) = (q, new(rowY.X + rowX.Y, 1 - xx + yy - zz, rowZ.Y + rowY.Z));
        else
            (w, v) = (r, new(rowX.Z + rowZ.X, rowZ.Y + rowY.Z, 1 - xx - yy + zz));
        if (w < 0)
            (w, v) = (-w, -v);
        return v.Length > 0 ? (v.Normalised(), 2 * Math.Atan2(v.Length, w) * 180 / Math.PI) : (Vector3D.Up, 0);
    }

    /// <summary>Part of the shortest way from this turn to another: share 0 is this one, 1 the other.</summary>
    public Rotation3D Towards(Rotation3D other, double share)
    {
        var (axis, angleDeg) = (other * Inverse()).ToAxisAngle();
        return About(axis, share * angleDeg) * this;
    }

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
