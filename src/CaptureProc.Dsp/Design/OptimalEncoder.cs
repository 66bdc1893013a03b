using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Arrays;

namespace CaptureProc.Dsp.Design;

/// <summary>The best first-order encoder of an array at one frequency.</summary>
/// <remarks>
/// Wanted are gains h from the capsules to each harmonic Y such that the mean of |h·s − Y|² over all directions is least
/// while the diffuse-field level of the output stays that of Y. With G = mean(s·sᴴ) and q = mean(Y·s), the product h·s has
/// the largest overlap with Y for h ∝ G⁻¹·q*, and the level fixes the factor. The relative error is then √(2 − 2ρ), with
/// ρ² = qᴴ·G⁻¹·q / mean(Y²): no encoder of this array that keeps the level does better. Plain inversion of the modes (1/b_n)
/// would be exact on the modes, yet it overshoots in a diffuse field, which is what a hall is.
/// A small ridge on G bounds the gain where the array hears nothing; see <see cref="Ridge"/>.
/// Cost: one 4x4 Cholesky factorisation a frequency.
/// </remarks>
internal ref struct OptimalEncoder
{
    // Relative to the mean capsule power. -80 dB lies far below the match of real capsules, so it binds only where the
    // array is blind, and it keeps the factorisation safe there.
    private const double Ridge = 1e-8;

    // No output may amplify the capsules' own noise (equal, uncorrelated) by more than this over one capsule: 36 dB.
    private const double MaxNoiseGain = 64;

    private readonly ArrayStatistics statistics;
    private readonly Span<double> directions;
    private readonly Span<double> factor;
    private readonly Span<double> row;

    /// <param name="array">The array, mount included.</param>
    /// <param name="workspace">At least <see cref="WorkspaceLength"/> elements.</param>
    public OptimalEncoder(CapsuleArray array, Span<double> workspace)
    {
        statistics = new ArrayStatistics(array);
        var n = statistics.CapsuleCount;
        directions = workspace[..(4 * n)];
        factor = workspace.Slice(4 * n, n * n);
        row = workspace.Slice(4 * n + n * n, n);
        var look = array.LookDirections();
        Span<double> harmonics = stackalloc double[4];
        for (var i = 0; i < n; i++)
        {
            SphericalHarmonics.Evaluate(look[i], harmonics);
            for (var channel = 0; channel < 4; channel++)
                directions[channel * n + i] = harmonics[channel];
        }
    }

    public static int WorkspaceLength(int capsules) => 5 * capsules + capsules * capsules;

    /// <summary>Writes the gains of 4 outputs (ACN, SN3D) by n capsules, row-major, at one wave number (1/m).</summary>
    /// <param name="keepDiffuseLevel">False gives the plain least-squares gains: at wave number 0, the inverse of the array's matrix.</param>
    public readonly void Solve(double wavenumber, bool keepDiffuseLevel, Span<Complex> gains)
    {
        var n = statistics.CapsuleCount;
        statistics.DiffuseCovariance(wavenumber, factor);
        for (var i = 0; i < n; i++)
            factor[i * n + i] *= 1 + Ridge;
        if (!SymmetricSolver.TryFactor(factor, n))
            throw new InvalidOperationException("The array's covariance is not positive definite: its directions do not resolve the field.");

        var (b0, b1) = statistics.Modes(wavenumber);
        for (var channel = 0; channel < 4; channel++)
        {
            // q = b·y with a real vector y of harmonics, and G is real: so h is a real vector times the conjugate of b.
            var y = directions.Slice(channel * n, n);
            y.CopyTo(row);
            SymmetricSolver.Solve(factor, n, row);
            var b = channel == 0 ? b0 : b1;
            var overlap = 0.0;
            var noise = 0.0;
            for (var i = 0; i < n; i++)
            {
                overlap += y[i] * row[i];
                noise += row[i] * row[i];
            }
            var level = channel == 0 ? 1 : Math.Sqrt(1.0 / 3);
            var size = keepDiffuseLevel ? level / Math.Sqrt(overlap) : b.Magnitude;
            size *= SoftLimit(size * Math.Sqrt(noise));
            var phase = b.Magnitude > 0 ? Complex.Conjugate(b) / b.Magnitude : Complex.One;
            for (var i = 0; i < n; i++)
                gains[channel * n + i] = size * row[i] * phase;
        }
    }

    // Within 0.001 dB of 1 up to a fifth of the bound, then bends smoothly: a corner would ring in the impulse response.
    private static double SoftLimit(double noiseGain)
    {
        var x = noiseGain / MaxNoiseGain;
        return 1 / Math.Pow(1 + x * x * x * x * x * x, 1.0 / 6);
    }
}
