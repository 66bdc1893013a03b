using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>A place and how well it is known: metres from the main array's centre, along the session's axes.</summary>
/// <param name="PositionM">x front, y left, z up.</param>
/// <param name="Covariance">Of x, y, z in m²: xx, xy, xz, yy, yz, zz.</param>
public sealed record StagePlace(Vector3D PositionM, IReadOnlyList<double> Covariance)
{
    /// <summary>Places worse than this along the floor are not told from not knowing.</summary>
    public const double KnownToM = 1;

    /// <summary>The larger half axis of the one-sigma ellipse on the floor.</summary>
    public double FloorSigmaM => Math.Sqrt(Ellipse.Of(this).LongVariance);

    public double HeightSigmaM => Math.Sqrt(Covariance[5]);

    public bool IsKnown => FloorSigmaM < KnownToM;

    /// <summary>Variance of the place along a direction.</summary>
    public double VarianceAlong(Vector3D unit)
    {
        var (x, y, z) = unit;
        var c = Covariance;
        return c[0] * x * x + c[3] * y * y + c[5] * z * z + 2 * (c[1] * x * y + c[2] * x * z + c[4] * y * z);
    }
}

/// <summary>The ellipse of a place on the floor or on an upright plane.</summary>
/// <param name="LongVariance">m² along its long axis.</param>
/// <param name="ShortVariance">m² along its short one.</param>
/// <param name="AngleRad">Of the long axis, from the first axis of the plane towards the second.</param>
public readonly record struct Ellipse(double LongVariance, double ShortVariance, double AngleRad)
{
    /// <summary>χ² of two degrees of freedom at 95 %: −2·ln 0.05.</summary>
    public const double ChiSquare95 = 5.991464547;

    /// <summary>On the floor: x and y.</summary>
    public static Ellipse Of(StagePlace place) => Of(place.Covariance[0], place.Covariance[1], place.Covariance[3]);

    /// <summary>From the covariance of two coordinates.</summary>
    public static Ellipse Of(double aa, double ab, double bb)
    {
        var (mean, half) = (0.5 * (aa + bb), 0.5 * (aa - bb));
        var radius = Math.Sqrt(half * half + ab * ab);
        return new Ellipse(mean + radius, Math.Max(0, mean - radius), 0.5 * Math.Atan2(2 * ab, aa - bb));
    }
}
