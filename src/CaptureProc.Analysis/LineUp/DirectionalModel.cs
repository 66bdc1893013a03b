using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using MathNet.Numerics.LinearAlgebra;

namespace CaptureProc.Analysis.LineUp;

/// <summary>How an uneven surround moves the levels and the coherences of the capsules of an array, at one wave number.</summary>
/// <remarks>
/// Sound that comes evenly from all round gives every capsule the same level, and every pair the coherence of the closed form.
/// Sound from a direction u too much adds to both in a known way: to the log levels ℓ(u) = |s|²/mean|s|² less its mean over the
/// capsules, to the coherences c(u) = s_i·s_j*/mean|s|² − γ_ij·(|s_i|² + |s_j|²)/(2·mean|s|²). Drawn from N directions by chance,
/// levels and coherences have the covariances of ℓ and c over the sphere, over N. Gains move the levels only, never the
/// coherences: so the coherences tell what of the levels is the surround's doing.
/// </remarks>
internal sealed class DirectionalModel
{
    // Fibonacci's sphere: even to better than a degree, and no pattern of an array shares its symmetry.
    private const int DirectionCount = 400;

    private DirectionalModel(Complex[] coherence, Matrix<double> levels, Matrix<double> coherences, Matrix<double> both) =>
        (Coherence, Levels, Coherences, LevelsWithCoherences) = (coherence, levels, coherences, both);

    /// <summary>γ of an even surround for the pairs in the order (0,1), (0,2) … (2,3).</summary>
    public Complex[] Coherence { get; }

    /// <summary>Covariance of the log power levels, for one direction.</summary>
    public Matrix<double> Levels { get; }

    /// <summary>Covariance of the coherences: real parts of all pairs, then imaginary parts.</summary>
    public Matrix<double> Coherences { get; }

    /// <summary>Covariance of levels (rows) and coherences (columns).</summary>
    public Matrix<double> LevelsWithCoherences { get; }

    public static DirectionalModel Of(CapsuleArray array, double wavenumber)
    {
        var responses = Responses(array, wavenumber);
        var n = array.Capsules.Count;
        var pairs = (from i in Enumerable.Range(0, n) from j in Enumerable.Range(i + 1, n - i - 1) select (i, j)).ToArray();
        var power = responses.Average(s => s.Average(x => Square(x)));
        var gamma = pairs.Select(p => responses.Aggregate(Complex.Zero, (sum, s) => sum + s[p.i] * Complex.Conjugate(s[p.j])) / DirectionCount / power).ToArray();

        var levels = Matrix<double>.Build.Dense(n, DirectionCount);
        var coherences = Matrix<double>.Build.Dense(2 * pairs.Length, DirectionCount);
        for (var d = 0; d < DirectionCount; d++)
        {
            var s = responses[d];
            var own = s.Select(x => Square(x) / power).ToArray();
            for (var i = 0; i < n; i++)
                levels[i, d] = own[i] - own.Average();
            for (var p = 0; p < pairs.Length; p++)
            {
                var (i, j) = pairs[p];
                var moved = s[i] * Complex.Conjugate(s[j]) / power - gamma[p] * (own[i] + own[j]) / 2;
                (coherences[p, d], coherences[pairs.Length + p, d]) = (moved.Real, moved.Imaginary);
            }
        }
        return new DirectionalModel(gamma, levels * levels.Transpose() / DirectionCount, coherences * coherences.Transpose() / DirectionCount,
            levels * coherences.Transpose() / DirectionCount);
    }

    private static Complex[][] Responses(CapsuleArray array, double wavenumber)
    {
        var look = array.LookDirections();
        var responses = new Complex[DirectionCount][];
        for (var d = 0; d < DirectionCount; d++)
        {
            var z = 1 - (2 * d + 1.0) / DirectionCount;
            var (sin, cos) = Math.SinCos(Math.PI * (3 - Math.Sqrt(5)) * d);
            var ring = Math.Sqrt(1 - z * z);
            var u = new Vector3D(ring * cos, ring * sin, z);
            responses[d] = [.. look.Select(v => PlaneWaveResponse.Evaluate(v, u, array.RadiusM, array.Pattern, wavenumber))];
        }
        return responses;
    }

    private static double Square(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;
}
