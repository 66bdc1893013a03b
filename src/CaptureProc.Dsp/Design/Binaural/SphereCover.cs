using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>How much of the sphere each of a set of directions stands for.</summary>
/// <remarks>
/// Thread: [main]. The shares are those of the cells of all points nearest to each direction, measured by counting the points
/// of a dense, even spiral. Where nobody measured, below the floor for instance, the nearest directions stand in; the
/// largest gap tells how far they have to reach. Exact cell areas would need a hull of the sphere, for shares that differ by
/// about a hundredth.
/// </remarks>
internal static class SphereCover
{
    // Some 30 points for each of the 700 directions that common sets have: shares to within about 3 %.
    private const int SpiralPoints = 20000;

    /// <summary>Writes the share of each direction; they sum up to 1. Returns the largest angle from any point to its nearest direction.</summary>
    public static double FillShares(ReadOnlySpan<Vector3D> directions, Span<double> shares)
    {
        shares.Clear();
        var largestGapDeg = 0.0;
        for (var point = 0; point < SpiralPoints; point++)
        {
            var u = SpiralPoint(point, SpiralPoints);
            var nearest = Nearest(directions, u);
            shares[nearest] += 1.0 / SpiralPoints;
            var cosine = Math.Clamp(Vector3D.Dot(directions[nearest], u), -1, 1);
            largestGapDeg = Math.Max(largestGapDeg, Math.Acos(cosine) * 180 / Math.PI);
        }
        return largestGapDeg;
    }

    /// <summary>Point number k of count points that cover the sphere evenly: equal steps of height, turned by the golden angle.</summary>
    public static Vector3D SpiralPoint(int k, int count)
    {
        var z = 1 - (2 * k + 1.0) / count;
        var (sin, cos) = Math.SinCos(Math.PI * (1 + Math.Sqrt(5)) * (k + 0.5));
        var ring = Math.Sqrt(1 - z * z);
        return new Vector3D(ring * cos, ring * sin, z);
    }

    public static int Nearest(ReadOnlySpan<Vector3D> directions, Vector3D u)
    {
        var (best, bestCosine) = (0, double.NegativeInfinity);
        for (var i = 0; i < directions.Length; i++)
        {
            var cosine = Vector3D.Dot(directions[i], u);
            if (cosine > bestCosine)
                (best, bestCosine) = (i, cosine);
        }
        return best;
    }
}
