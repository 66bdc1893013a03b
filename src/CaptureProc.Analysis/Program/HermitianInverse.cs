using System.Numerics;

namespace CaptureProc.Analysis.Program;

/// <summary>Inverse of a small Hermitian positive definite matrix by Gauss-Jordan elimination; the diagonal never needs a pivot.</summary>
internal static class HermitianInverse
{
    /// <summary>Destroys <paramref name="matrix"/>. Row-major n×n.</summary>
    public static void Compute(Complex[] matrix, Complex[] inverse, int n)
    {
        Array.Clear(inverse);
        for (var i = 0; i < n; i++)
            inverse[i * n + i] = 1;
        for (var p = 0; p < n; p++)
        {
            var scale = 1 / matrix[p * n + p];
            for (var j = 0; j < n; j++)
            {
                matrix[p * n + j] *= scale;
                inverse[p * n + j] *= scale;
            }
            for (var i = 0; i < n; i++)
            {
                if (i == p)
                    continue;
                var factor = matrix[i * n + p];
                for (var j = 0; j < n; j++)
                {
                    matrix[i * n + j] -= factor * matrix[p * n + j];
                    inverse[i * n + j] -= factor * inverse[p * n + j];
                }
            }
        }
    }
}
