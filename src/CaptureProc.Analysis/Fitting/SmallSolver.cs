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
        var scaled = MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.Dense(n, n, (i, j) => matrix[i * n + j] * scale[i] * scale[j]);
        MathNet.Numerics.LinearAlgebra.Matrix<double> inverse;
        try
        {
            inverse = scaled.Cholesky().Solve(MathNet.Numerics.LinearAlgebra.Matrix<double>.Build.DenseIdentity(n));
        }
        catch (ArgumentException)
        {
            return null;
        }
        var result = new double[n * n];
        for (var i = 0; i < n; i++)
            for (var j = 0; j < n; j++)
                result[i * n + j] = inverse[i, j] * scale[i] * scale[j];
        return result;
    }
}
