using System.Numerics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Arrays;

/// <summary>What each capsule of an array hears of one plane wave.</summary>
public static class PlaneWaveResponse
{
    /// <summary>Response of capsule <paramref name="look"/> to a unit plane wave that comes from <paramref name="source"/>, relative to the array's centre.</summary>
    /// <remarks>Thread: [any]. Unit: wavenumber in 1/m. Both vectors have length 1. Definition: see <see cref="ArrayStatistics"/>.</remarks>
    public static Complex Evaluate(Vector3D look, Vector3D source, double radiusM, double pattern, double wavenumber)
    {
        var cos = Vector3D.Dot(look, source);
        return (pattern + (1 - pattern) * cos) * Complex.FromPolarCoordinates(1, wavenumber * radiusM * cos);
    }
}
