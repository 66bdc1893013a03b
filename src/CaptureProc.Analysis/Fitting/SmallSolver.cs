namespace CaptureProc.Analysis.Fitting;

/// <summary>Symmetric systems of a few unknowns whose scales differ by many powers of ten.</summary>
/// <remarks>
/// The matrix is scaled to a unit diagonal first: an amplitude, a delay in samples and a corner in radians a second stand side by
/// side, and without that a healthy system looks singular.
/// </remarks>
public static class SmallSolver
{
    /// <summary>Null where the system does not determine every unknown.</summary>
    public static double[]? Solve(double[] matrix, double[] right)
    {
        if (Inverse(matrix) is not { } inverse)
            return null;
        var n = right.Length;
        var x = new double[n];
        for (var i = 0; i < n; i++)
            for (var j = 0; j < n; j++)
                x[i] += inverse[i * n + j] * right[j];
        return x;
    }

    public static double[]? Inverse(double[] matrix)
    {
        var n = (int)Math.Sqrt(matrix.Length);
        var scale = new double[n];
        for (var i = 0; i < n; i++)
        {
            if (!(matrix[i * n + i] > 0))
                return null;
            scale[i] = 1 / Math.Sqrt(matrix[i * n + i]);
        }
        var scaled = new double[n * n];
        for (var i = 0; i < n; i++)
            for (var j = 0; j < n; j++)
                scaled[i * n + j] = matrix[i * n + j] * scale[i] * scale[j];
        if (CholeskyFactor.Factor(scaled, n) is not { } factor)
            return null;
        // A⁻¹ = L⁻ᵀ·L⁻¹: its elements are the dot products of the columns of L⁻¹.
        var columns = new double[n][];
        for (var i = 0; i < n; i++)
        {
            columns[i] = new double[n];
            columns[i][i] = 1;
            factor.Whiten(columns[i]);
        }
        var result = new double[n * n];
        for (var i = 0; i < n; i++)
            for (var j = 0; j < n; j++)
                result[i * n + j] = CholeskyFactor.Dot(columns[i], columns[j]) * scale[i] * scale[j];
        return result;
    }
}
