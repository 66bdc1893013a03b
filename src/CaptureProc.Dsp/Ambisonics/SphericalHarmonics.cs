using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Ambisonics;

/// <summary>Real spherical harmonics to third order: ACN channel order, SN3D scale.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// Definition: ACN = n² + n + m; no Condon-Shortley phase; SN3D without a 4π factor, so W is 1 everywhere and the mean
/// square of a channel of order n over the sphere is 1/(2n+1). N3D is SN3D times √(2n+1).
/// The polynomials on the unit sphere are exact, need no trigonometry and cannot lose digits near the poles.
/// Source: EBU ADM Renderer (hoa.py) for order, scale and phase.
/// </remarks>
public static class SphericalHarmonics
{
    public const int MaxOrder = 3;

    /// <summary>Channels of a full set: (order + 1)².</summary>
    public static int ChannelCount(int order)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(order, 0);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(order, MaxOrder);
        return (order + 1) * (order + 1);
    }

    /// <summary>The order n that an ACN channel belongs to.</summary>
    public static int OrderOf(int acn) => (int)Math.Sqrt(acn);

    /// <summary>√(2n+1): N3D over SN3D for an ACN channel.</summary>
    public static double N3DOverSN3D(int acn) => Math.Sqrt(2 * OrderOf(acn) + 1);

    /// <summary>Writes the SN3D value of the first <c>values.Length</c> ACN channels (1, 4, 9 or 16) for one direction.</summary>
    public static void Evaluate(Direction direction, Span<double> values) => Evaluate(direction.ToUnitVector(), values);

    /// <summary>As above, for a vector of length 1.</summary>
    public static void Evaluate(Vector3D unit, Span<double> values)
    {
        var (x, y, z) = unit;
        values[0] = 1;
        if (values.Length >= 4)
        {
            values[1] = y;
            values[2] = z;
            values[3] = x;
        }
        if (values.Length >= 9)
        {
            var root3 = Math.Sqrt(3);
            values[4] = root3 * x * y;
            values[5] = root3 * y * z;
            values[6] = (3 * z * z - 1) / 2;
            values[7] = root3 * x * z;
            values[8] = root3 / 2 * (x * x - y * y);
        }
        if (values.Length >= 16)
        {
            var (root58, root15, root38) = (Math.Sqrt(5.0 / 8), Math.Sqrt(15), Math.Sqrt(3.0 / 8));
            values[9] = root58 * y * (3 * x * x - y * y);
            values[10] = root15 * x * y * z;
            values[11] = root38 * y * (5 * z * z - 1);
            values[12] = z * (5 * z * z - 3) / 2;
            values[13] = root38 * x * (5 * z * z - 1);
            values[14] = root15 / 2 * z * (x * x - y * y);
            values[15] = root58 * x * (x * x - 3 * y * y);
        }
    }
}
