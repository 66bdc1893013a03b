using Complex = System.Numerics.Complex;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Program;
using MathNet.Numerics.LinearAlgebra;

namespace CaptureProc.Analysis.Tests.Fitting;

/// <summary>The small factorisations, against MathNet.Numerics.</summary>
public sealed class SolverTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(8)]
    [InlineData(17)]
    [InlineData(120)]
    public void WhiteningIsTheInverseOfMathNetsCholeskyFactor(int size)
    {
        var matrix = PositiveDefinite(size, seed: size);
        var expected = Matrix<double>.Build.Dense(size, size, (i, j) => matrix[i * size + j]).Cholesky();
        var b = Enumerable.Range(0, size).Select(i => Math.Sin(i + 1.0)).ToArray();
        var solved = expected.Factor.LowerTriangle().Solve(Vector<double>.Build.DenseOfArray(b));

        var factor = CholeskyFactor.Factor((double[])matrix.Clone(), size)!;
        factor.Whiten(b);
        for (var i = 0; i < size; i++)
            Assert.Equal(solved[i], b[i], 1e-9);
        Assert.Equal(expected.DeterminantLn, factor.LogDeterminant, 1e-9 * size);
    }

    [Fact]
    public void AMatrixThatIsNotPositiveDefiniteIsRefused() => Assert.Null(CholeskyFactor.Factor([1, 2, 2, 1], 2));

    [Fact]
    public void UnknownsOfVeryDifferentScaleAreSolvedAsMathNetDoes()
    {
        // An amplitude, a delay in samples and a corner in radians a second: twelve powers of ten between the diagonal elements.
        double[] scale = [1e3, 1, 1e-3];
        var matrix = PositiveDefinite(3, seed: 5);
        for (var i = 0; i < 9; i++)
            matrix[i] *= scale[i / 3] * scale[i % 3];
        var dense = Matrix<double>.Build.Dense(3, 3, (i, j) => matrix[i * 3 + j]);
        var expected = dense.LU().Solve(Vector<double>.Build.Dense([1.0, 2.0, 3.0]));
        var x = SmallSolver.Solve(matrix, [1, 2, 3])!;
        for (var i = 0; i < 3; i++)
            Assert.Equal(1, x[i] / expected[i], 1e-9);
        Assert.Null(SmallSolver.Solve([1, 1, 1, 1], [1, 1]));
    }

    [Fact]
    public void HermitianSystemsAreSolvedAsMathNetDoes()
    {
        const int size = 6;
        var random = new Random(7);
        var root = Matrix<Complex>.Build.Dense(size, size, (_, _) => new Complex(random.NextDouble() - 0.5, random.NextDouble() - 0.5));
        var matrix = root * root.ConjugateTranspose() + Matrix<Complex>.Build.DenseIdentity(size).Multiply(0.1);
        var right = Vector<Complex>.Build.Dense(size, i => new Complex(i, 1 - i));
        var expected = matrix.LU().Solve(right);

        Complex[] factor = [.. matrix.ToRowMajorArray()];
        Complex[] x = [.. right];
        Assert.True(HermitianFactor.TryFactor(factor, size));
        HermitianFactor.Solve(factor, size, x);
        for (var i = 0; i < size; i++)
            Assert.Equal(0, (expected[i] - x[i]).Magnitude, 1e-10);
    }

    private static double[] PositiveDefinite(int size, int seed)
    {
        var random = new Random(seed);
        var root = Matrix<double>.Build.Dense(size, size, (_, _) => random.NextDouble() - 0.5);
        return (root * root.Transpose() + Matrix<double>.Build.DenseIdentity(size).Multiply(0.3)).ToRowMajorArray();
    }
}
