using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Sources;

/// <summary>A source that is no point: its direct sound comes from several points at once.</summary>
/// <remarks>
/// Hands and boards are flat and meet at once all over, strongest in the middle: nineteen points lie in a plane that faces anywhere, and fall about the
/// middle like a bell whose width (two standard deviations each way hold nearly all) is that of the source. No two points are equally
/// loud, so that no two sides hear the same. Common practice, no source.
/// </remarks>
internal static class SourceWidth
{
    private const int Points = 19;

    public static ImageSource[] Spread(ImageSource direct, double widthM, SeededRandom chance)
    {
        var points = new ImageSource[Points];
        var total = 0.0;
        var weights = new double[Points];
        for (var i = 0; i < Points; i++)
            total += weights[i] = chance.Uniform(0.5, 1.5);
        var (one, other) = Plane(chance);
        var offsets = new Vector3D[Points];
        var mean = default(Vector3D);
        for (var i = 0; i < Points; i++)
        {
            offsets[i] = widthM / 4 * (chance.Gaussian() * one + chance.Gaussian() * other);
            mean += weights[i] / total * offsets[i];
        }
        // Its place is where its weight is.
        for (var i = 0; i < Points; i++)
            points[i] = (direct with { PositionM = direct.PositionM + offsets[i] - mean }).Times(weights[i] / total);
        return points;
    }

    /// <summary>Two directions at right angles that span a plane which faces anywhere.</summary>
    private static (Vector3D One, Vector3D Other) Plane(SeededRandom chance)
    {
        var facing = new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian()).Normalised();
        // Any direction that is not the plane's own normal gives the first; the axis that the normal lies farthest from always does.
        var aside = Math.Abs(facing.Z) < 0.6 ? new Vector3D(0, 0, 1) : new Vector3D(1, 0, 0);
        var one = (aside - Vector3D.Dot(aside, facing) * facing).Normalised();
        return (one, Vector3D.Cross(facing, one));
    }
}
