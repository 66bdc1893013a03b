using System.Numerics;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Microphones;

/// <summary>What a rigid sphere in the middle of an array sends back to a capsule in front of it.</summary>
/// <remarks>
/// Thread: [any]. A plane wave from d is Σ(2n+1)iⁿ·j_n(kr)·P_n(cos γ) (time e^{+jωt}); the sphere of radius a adds
/// −j_n′(ka)/h_n′(ka)·h_n(kr) to j_n, so that nothing moves at its surface. A first-order capsule at r ≥ a that looks outwards
/// hears α·p + (1−α)/(ik)·∂p/∂r of it. Source: Williams, Fourier Acoustics, 1999, section 6.10 (there with e^{−iωt});
/// Duda and Martens, JASA 104(5), 1998.
/// </remarks>
public static class RigidSphere
{
    /// <summary>Factors of P_n(cos γ), n = 0 to length − 1, of the scattered part alone.</summary>
    /// <param name="wavenumber">k in 1/m, above 0.</param>
    /// <param name="bodyRadiusM">a.</param>
    /// <param name="capsuleRadiusM">r, no less than a.</param>
    /// <param name="pattern">α.</param>
    public static void Scattered(double wavenumber, double bodyRadiusM, double capsuleRadiusM, double pattern, Span<Complex> factors)
    {
        if (!(bodyRadiusM > 0 && bodyRadiusM <= capsuleRadiusM))
            throw new ArgumentOutOfRangeException(nameof(bodyRadiusM), bodyRadiusM, $"The body fits between the capsules: above 0 and at most {capsuleRadiusM} m.");
        var count = factors.Length;
        Span<double> j = stackalloc double[count], slopeOfJ = stackalloc double[count];
        Span<Complex> h = stackalloc Complex[count], slopeOfH = stackalloc Complex[count], there = stackalloc Complex[count], slopeThere = stackalloc Complex[count];
        SphericalWaves.Evaluate(wavenumber * capsuleRadiusM, j, slopeOfJ, there, slopeThere);
        SphericalWaves.Evaluate(wavenumber * bodyRadiusM, j, slopeOfJ, h, slopeOfH);
        var turn = Complex.One;
        for (var n = 0; n < count; n++)
        {
            var heard = pattern * there[n] - Complex.ImaginaryOne * (1 - pattern) * slopeThere[n];
            factors[n] = -(2 * n + 1) * turn * slopeOfJ[n] / slopeOfH[n] * heard;
            turn *= Complex.ImaginaryOne;
        }
    }
}
