namespace CaptureProc.Dsp.Geometry;

/// <summary>Where a sound comes from, in degrees.</summary>
/// <remarks>Azimuth 0 is straight ahead (+x) and grows to the left (+y); elevation grows upwards (+z), −90…90.</remarks>
public readonly record struct Direction(double AzimuthDeg, double ElevationDeg)
{
    private const double RadPerDeg = Math.PI / 180;

    public Vector3D ToUnitVector()
    {
        var (sinAz, cosAz) = Math.SinCos(AzimuthDeg * RadPerDeg);
        var (sinEl, cosEl) = Math.SinCos(ElevationDeg * RadPerDeg);
        return new Vector3D(cosAz * cosEl, sinAz * cosEl, sinEl);
    }

    /// <summary>The direction of a vector of any length; azimuth −180…180. The zero vector reads as straight ahead.</summary>
    public static Direction Of(Vector3D v) => new(
        Math.Atan2(v.Y, v.X) / RadPerDeg,
        Math.Atan2(v.Z, Math.Sqrt(v.X * v.X + v.Y * v.Y)) / RadPerDeg);

    /// <summary>The angle between two directions, 0…180 degrees.</summary>
    public static double AngleBetweenDeg(Direction a, Direction b)
    {
        // atan2 of cross and dot keeps full precision for nearly equal directions, where acos loses half the digits.
        var (u, v) = (a.ToUnitVector(), b.ToUnitVector());
        return Math.Atan2(Vector3D.Cross(u, v).Length, Vector3D.Dot(u, v)) / RadPerDeg;
    }
}
