using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests;

/// <summary>The usual layout: FLU, FRD, BLD, BRU on channels 1 to 4 (common practice, no source).</summary>
internal static class Tetrahedron
{
    private static readonly double ElevationDeg = Math.Atan(Math.Sqrt(0.5)) * 180 / Math.PI;

    public static IReadOnlyList<Direction> Directions { get; } =
        [new(45, ElevationDeg), new(-45, -ElevationDeg), new(135, -ElevationDeg), new(-135, ElevationDeg)];

    public static CapsuleArray Array(double radiusMm, double pattern) => new(Directions, radiusMm / 1000, pattern, Rotation3D.Identity);
}
