using CaptureProc.Dsp.Geometry;
using CaptureProc.Report.Page;
using CaptureProc.Session;

namespace CaptureProc.Report.Readings;

/// <summary>How a microphone is mounted, as somebody who stands before it would say.</summary>
internal static class MountWords
{
    // A hand turns a clamp no finer than this.
    private const double ToleranceDeg = 3;

    public static string Of(MountEntry mount)
    {
        var rotation = mount.ToRotation();
        var (top, front) = (rotation.Apply(Vector3D.Up), rotation.Apply(Vector3D.Front));
        if (Is(top, Vector3D.Up))
            return $"mounted upright, {Facing(front)}";
        if (Is(top, -Vector3D.Up))
            return $"hanging head down, {Facing(front)}";
        (Vector3D Direction, string Name)[] sides = [(Vector3D.Front, "ahead"), (-Vector3D.Front, "to the rear"), (Vector3D.Left, "to the left"), (-Vector3D.Left, "to the right")];
        foreach (var (direction, name) in sides)
            if (Is(top, direction))
                return $"lying, its top {name}";
        return $"mounted with yaw {Figures.Number(mount.YawDeg, 1)}°, pitch {Figures.Number(mount.PitchDeg, 1)}°, roll {Figures.Number(mount.RollDeg, 1)}°";
    }

    private static string Facing(Vector3D front)
    {
        var azimuthDeg = Direction.Of(front).AzimuthDeg;
        return Math.Abs(azimuthDeg) <= ToleranceDeg ? "facing ahead" : $"its front at azimuth {Figures.Signed(azimuthDeg, 1)}°";
    }

    private static bool Is(Vector3D a, Vector3D b) => Vector3D.Dot(a, b) >= Math.Cos(ToleranceDeg * Math.PI / 180);
}
