namespace CaptureProc.Dsp.Design;

/// <summary>Cholesky factorisation of a small symmetric positive definite matrix, in place.</summary>
/// <remarks>Thread: [any]. Allocates: never. Shape: row-major n×n; the lower triangle becomes L with A = L·Lᵀ.</remarks>
internal static class SymmetricSolver
{
    /// <summary>False where the matrix is not positive definite.</summary>
    public static bool TryFactor(Span<double> matrix, int n)
    {
        for (var j = 0; j < n; j++)
        {
            for (var i = j; i < n; i++)
            {
                var sum = matrix[i * n + j];
                for (var k = 0; k < j; k++)
                    sum -= matrix[i * n + k] * matrix[j * n + k];
                if (i > j)
                {
                    matrix[i * n + j] = sum / matrix[j * n + j];
                }
                else
                {
                    if (!(sum > 0))
                        return false;
                    matrix[j * n + j] = Math.Sqrt(sum);
                }
            }
        }
        return true;
    }

    /// <summary>Solves L·Lᵀ·x = b in place of b.</summary>
    public static void Solve(ReadOnlySpan<double> factor, int n, Span<double> b)
    {
        for (var i = 0; i < n; i++)
        {
            for (var k = 0; k < i; k++)
                b[i] -= factor[i * n + k] * b[k];
            b[i] /= factor[i * n + i];
        }
        for (var i = n - 1; i >= 0; i--)
        {
            for (var k = i + 1; k < n; k++)
                b[i] -= factor[k * n + i] * b[k];
            b[i] /= factor[i * n + i];
        }
    }
}
