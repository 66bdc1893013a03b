using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Placement;

/// <summary>Second moments of a first-order field: how energy and its flow are spread over directions.</summary>
/// <remarks>
/// Thread: one at a time. Shape: W², W·(X, Y, Z), X², Y², Z², XY, XZ, YZ, real parts of cross spectra, SN3D.
/// A plane wave from u with |W|² = e has e·u in the second place and e·u·uᵀ in the third; a diffuse field has nothing in the
/// second and e/3 in each of X², Y², Z². The three velocities together always carry what W carries.
/// </remarks>
public struct FieldMoments
{
    private double ww, wx, wy, wz, xx, yy, zz, xy, xz, yz;

    /// <summary>|W|².</summary>
    public readonly double Pressure => ww;

    /// <summary>(|W|² + |X|² + |Y|² + |Z|²)/2: the energy density on W's scale.</summary>
    public readonly double Energy => (ww + xx + yy + zz) / 2;

    /// <summary>Re W*·(X, Y, Z): the flow of energy; it points to where the sound comes from.</summary>
    public readonly Vector3D Intensity => new(wx, wy, wz);

    /// <summary>|X|² + |Y|² + |Z|².</summary>
    public readonly double Velocity => xx + yy + zz;

    /// <summary>The same field with the velocities divided by a factor.</summary>
    public readonly FieldMoments WithVelocityOver(double factor)
    {
        var square = factor * factor;
        return this with
        {
            wx = wx / factor, wy = wy / factor, wz = wz / factor,
            xx = xx / square, yy = yy / square, zz = zz / square, xy = xy / square, xz = xz / square, yz = yz / square,
        };
    }

    public readonly bool IsSilent => !(ww > 0);

    /// <summary>Adds one bin: real and imaginary parts of W, Y, Z, X, the order of the channels.</summary>
    public void Add(double w, double wi, double y, double yi, double z, double zi, double x, double xi)
    {
        ww += w * w + wi * wi;
        wx += w * x + wi * xi;
        wy += w * y + wi * yi;
        wz += w * z + wi * zi;
        xx += x * x + xi * xi;
        yy += y * y + yi * yi;
        zz += z * z + zi * zi;
        xy += x * y + xi * yi;
        xz += x * z + xi * zi;
        yz += y * z + yi * zi;
    }

    /// <summary>Adds a bin of frames whose first four channels are a field in ACN order.</summary>
    public void AddBin(StreamedFrames frames, int bin)
    {
        var (re, im) = (frames.Re, frames.Im);
        Add(re[0][bin], im[0][bin], re[1][bin], im[1][bin], re[2][bin], im[2][bin], re[3][bin], im[3][bin]);
    }

    /// <summary>Share of the energy that a plane wave from u explains: 1 for the wave itself, 1/4 on average for a diffuse field.</summary>
    /// <remarks>|bᴴy|²/(|b|²·|y|²) with y = (W, √3·X, √3·Y, √3·Z), in which a diffuse field is white, and b = (1, √3·u).</remarks>
    public readonly double Explained(Vector3D u)
    {
        var flow = wx * u.X + wy * u.Y + wz * u.Z;
        var square = xx * u.X * u.X + yy * u.Y * u.Y + zz * u.Z * u.Z + 2 * (xy * u.X * u.Y + xz * u.X * u.Z + yz * u.Y * u.Z);
        return (ww + 6 * flow + 9 * square) / (4 * White);
    }

    /// <summary>|W|² + 3·(|X|² + |Y|² + |Z|²): four times |W|² of a plane wave and, on average, of a diffuse field.</summary>
    public readonly double White => ww + 3 * (xx + yy + zz);
}
