using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Ambisonics;

/// <summary>The matrix that turns a sound field: SN3D in, SN3D out, ACN order, up to third order.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Shape: row-major square matrix of (order+1)² rows; output = matrix · input.
/// A source at u before the turn stands at R·u after it.
/// Each order turns within itself, so the matrix is a set of blocks. A block is the projection of the turned harmonics on
/// the plain ones, M_ij = (2n+1)·mean(Y_i(R u)·Y_j(u)), and a product quadrature of 4 Gauss-Legendre latitudes and 8
/// meridians integrates these polynomials (degree ≤ 6) exactly. A recursion over orders would be faster for high orders,
/// but is an opaque table of special cases; at 32 points this costs a few microseconds and reads as its definition.
/// </remarks>
public static class FieldRotation
{
    private const int Meridians = 8;

    // Gauss-Legendre on [-1, 1] with 4 nodes, exact to degree 7: nodes √(3/7 ∓ 2/7·√(6/5)), weights (18 ± √30)/36.
    // Constants and not roots taken at the start: natively compiled, a first use on the audio thread would allocate.
    private const double Inner = 0.3399810435848563;
    private const double Outer = 0.8611363115940526;
    private const double InnerWeight = 0.6521451548625462;
    private const double OuterWeight = 0.34785484513745385;

    public static void Fill(Rotation3D rotation, int order, Span<double> matrix)
    {
        var channels = SphericalHarmonics.ChannelCount(order);
        if (matrix.Length < channels * channels)
            throw new ArgumentException($"The matrix has {matrix.Length} elements; order {order} needs {channels * channels}.", nameof(matrix));
        matrix[..(channels * channels)].Clear();
        Span<double> plain = stackalloc double[16];
        Span<double> turned = stackalloc double[16];
        plain = plain[..channels];
        turned = turned[..channels];

        for (var latitude = 0; latitude < 4; latitude++)
        {
            var z = (latitude < 2 ? -1 : 1) * (latitude is 0 or 3 ? Outer : Inner);
            var weight = (latitude is 0 or 3 ? OuterWeight : InnerWeight) / (2 * Meridians);
            var ring = Math.Sqrt(1 - z * z);
            for (var meridian = 0; meridian < Meridians; meridian++)
            {
                var (sin, cos) = Math.SinCos(2 * Math.PI * meridian / Meridians);
                var u = new Vector3D(ring * cos, ring * sin, z);
                SphericalHarmonics.Evaluate(u, plain);
                SphericalHarmonics.Evaluate(rotation.Apply(u), turned);
                for (var n = 0; n <= order; n++)
                {
                    var scale = weight * (2 * n + 1);
                    for (var i = n * n; i < (n + 1) * (n + 1); i++)
                        for (var j = n * n; j < (n + 1) * (n + 1); j++)
                            matrix[i * channels + j] += scale * turned[i] * plain[j];
                }
            }
        }
    }
}
