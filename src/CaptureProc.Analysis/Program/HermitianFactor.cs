using System.Numerics;

namespace CaptureProc.Analysis.Program;

/// <summary>L·Lᴴ of a small Hermitian matrix, many thousand times over.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. Shape: row-major n×n, lower triangle only.
/// The general library makes a matrix object for every bin, which costs more than the arithmetic on it.
/// </remarks>
internal static class HermitianFactor
{
    /// <summary>In place; false where the matrix is not positive definite.</summary>
    public static bool TryFactor(Span<Complex> a, int n)
    {
        for (var j = 0; j < n; j++)
        {
            var pivot = a[j * n + j].Real;
            for (var k = 0; k < j; k++)
                pivot -= Square(a[j * n + k]);
            if (!(pivot > 0))
                return false;
            pivot = Math.Sqrt(pivot);
            a[j * n + j] = pivot;
            for (var i = j + 1; i < n; i++)
            {
                var sum = a[i * n + j];
                for (var k = 0; k < j; k++)
                    sum -= a[i * n + k] * Complex.Conjugate(a[j * n + k]);
                a[i * n + j] = sum / pivot;
            }
        }
        return true;
    }

    /// <summary>Solves L·Lᴴ·x = b in place of b.</summary>
    public static void Solve(ReadOnlySpan<Complex> factor, int n, Span<Complex> b)
    {
        for (var i = 0; i < n; i++)
        {
            for (var k = 0; k < i; k++)
                b[i] -= factor[i * n + k] * b[k];
            b[i] /= factor[i * n + i].Real;
        }
        for (var i = n - 1; i >= 0; i--)
        {
            for (var k = i + 1; k < n; k++)
                b[i] -= Complex.Conjugate(factor[k * n + i]) * b[k];
            b[i] /= factor[i * n + i].Real;
        }
    }

    private static double Square(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;
}
