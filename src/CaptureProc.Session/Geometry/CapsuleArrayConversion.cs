using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Session;

/// <summary>From the session's plain numbers to the types that the signal code works with.</summary>
public static class CapsuleArrayConversion
{
    public static CapsuleArray ToCapsuleArray(this ArrayEntry array) => new(
        [.. array.Capsules.Select(c => new Direction(c.AzimuthDeg, c.ElevationDeg))],
        array.RadiusMm / 1000, array.Pattern, array.Mount.ToRotation());

    public static Rotation3D ToRotation(this MountEntry mount) =>
        Rotation3D.FromYawPitchRollDeg(mount.YawDeg, mount.PitchDeg, mount.RollDeg);

    public static Direction ToDirection(this SpotDirection direction) => new(direction.AzimuthDeg, direction.ElevationDeg);
}
