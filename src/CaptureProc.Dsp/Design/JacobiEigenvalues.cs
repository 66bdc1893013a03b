namespace CaptureProc.Dsp.Design;

/// <summary>Eigenvalues of a small symmetric matrix by Jacobi rotations.</summary>
/// <remarks>Slow for large matrices, but for 4x4 it is a page of code that finds small eigenvalues to full relative accuracy.</remarks>
internal static class JacobiEigenvalues
{
    private const int MaxSweeps = 30;

    /// <summary>Turns the matrix (row-major n×n, symmetric) into a diagonal one of its eigenvalues, in place.</summary>
    public static void Diagonalise(Span<double> a, int n)
    {
        for (var sweep = 0; sweep < MaxSweeps; sweep++)
        {
            var off = 0.0;
            for (var p = 0; p < n; p++)
                for (var q = p + 1; q < n; q++)
                    off += a[p * n + q] * a[p * n + q];
            if (off < 1e-30)
                return;
            for (var p = 0; p < n; p++)
                for (var q = p + 1; q < n; q++)
                    Rotate(a, n, p, q);
        }
    }

    private static void Rotate(Span<double> a, int n, int p, int q)
    {
        if (a[p * n + q] == 0)
            return;
        var theta = (a[q * n + q] - a[p * n + p]) / (2 * a[p * n + q]);
        var t = Math.CopySign(1, theta) / (Math.Abs(theta) + Math.Sqrt(theta * theta + 1));
        var c = 1 / Math.Sqrt(t * t + 1);
        var s = t * c;
        for (var k = 0; k < n; k++)
        {
            var (akp, akq) = (a[k * n + p], a[k * n + q]);
            a[k * n + p] = c * akp - s * akq;
            a[k * n + q] = s * akp + c * akq;
        }
        for (var k = 0; k < n; k++)
        {
            var (apk, aqk) = (a[p * n + k], a[q * n + k]);
            a[p * n + k] = c * apk - s * aqk;
            a[q * n + k] = s * apk + c * aqk;
        }
    }
}
