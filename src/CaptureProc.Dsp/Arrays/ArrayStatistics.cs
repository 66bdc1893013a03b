using System.Numerics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Arrays;

/// <summary>What an array of outward-facing first-order capsules does on average over all directions of a plane wave.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never, once built.
/// A capsule at r·u hears the plane wave from d as s = (α + (1−α)·u·d)·e^{+ikr·u·d} (time factor e^{+jωt}: the capsule that
/// faces the source leads). Its means over the sphere are spherical Bessel functions in closed form, so no direction grid
/// and no truncated series stand between the array and its filters:
///   mean s        = b₀ = α·j₀(kr) + i(1−α)·j₁(kr)
///   mean d·s      = b₁·u, b₁ = iα·j₁(kr) + (1−α)·j₁′(kr)
///   mean s_i·s_j* = α²·j₀(κ) + (1−α)²·[(u_i·u_j)·j₁(κ)/κ − (u_i·e)(u_j·e)·j₂(κ)], κe = kr·(u_i − u_j);
/// the mixed term drops out, because (u_i + u_j) is at right angles to (u_i − u_j). So the covariance is real.
/// </remarks>
public readonly struct ArrayStatistics
{
    private readonly double radiusM, pattern;
    private readonly Vector3D[] look;

    public ArrayStatistics(CapsuleArray array) => (radiusM, pattern, look) = (array.RadiusM, array.Pattern, array.LookDirections());

    public int CapsuleCount => look.Length;

    /// <summary>b₀ and b₁ at a wave number k in 1/m.</summary>
    public (Complex B0, Complex B1) Modes(double wavenumber)
    {
        var kr = wavenumber * radiusM;
        var (j0, j1, _) = SphericalBessel.Evaluate(kr);
        var slopeOfJ1 = j0 - 2 * SphericalBessel.J1OverX(kr);
        return (new Complex(pattern * j0, (1 - pattern) * j1), new Complex((1 - pattern) * slopeOfJ1, pattern * j1));
    }

    /// <summary>Mean of s_i·s_j* over all directions: what the capsules have in common in a diffuse field. Row-major.</summary>
    public void DiffuseCovariance(double wavenumber, Span<double> covariance)
    {
        var (a, b) = (pattern * pattern, (1 - pattern) * (1 - pattern));
        for (var i = 0; i < look.Length; i++)
        {
            covariance[i * look.Length + i] = a + b / 3;
            for (var j = 0; j < i; j++)
            {
                var apart = look[i] - look[j];
                var kappa = wavenumber * radiusM * apart.Length;
                var e = apart.Normalised();
                var (j0, _, j2) = SphericalBessel.Evaluate(kappa);
                covariance[i * look.Length + j] = covariance[j * look.Length + i] =
                    a * j0 + b * (Vector3D.Dot(look[i], look[j]) * SphericalBessel.J1OverX(kappa)
                                  - Vector3D.Dot(look[i], e) * Vector3D.Dot(look[j], e) * j2);
            }
        }
    }
}
