using CaptureProc.Dsp.Geometry;
using MathNet.Numerics.Integration;

namespace CaptureProc.Dsp.Tests;

/// <summary>Means over the sphere by a product rule from MathNet's Gauss-Legendre nodes, so that no test shares a route with the code.</summary>
internal static class Sphere
{
    /// <summary>Exact for polynomials of degree 2·latitudes − 1 in z and meridians − 1 around it; weights sum to 1.</summary>
    public static IEnumerable<(Vector3D Unit, double Weight)> Quadrature(int latitudes, int meridians)
    {
        var rule = new GaussLegendreRule(-1, 1, latitudes);
        for (var i = 0; i < latitudes; i++)
        {
            var z = rule.GetAbscissa(i);
            var ring = Math.Sqrt(1 - z * z);
            for (var j = 0; j < meridians; j++)
            {
                var az = 2 * Math.PI * (j + 0.37) / meridians;
                yield return (new Vector3D(ring * Math.Cos(az), ring * Math.Sin(az), z), rule.GetWeight(i) / (2 * meridians));
            }
        }
    }

    /// <summary>A spiral of 200 directions, poles included.</summary>
    public static IEnumerable<Vector3D> Directions()
    {
        const int count = 200;
        for (var i = 0; i < count; i++)
        {
            var z = 1 - 2.0 * i / (count - 1);
            var ring = Math.Sqrt(1 - z * z);
            var az = i * Math.PI * (3 - Math.Sqrt(5));
            yield return new Vector3D(ring * Math.Cos(az), ring * Math.Sin(az), z);
        }
    }
}
