using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Analysis.Fitting;

/// <summary>L·Lᵀ of a symmetric positive definite matrix, for whitening data by their covariance.</summary>
/// <remarks>
/// Thread: one instance a thread. Shape: row-major, only the lower triangle is read and written. Cost: n³/6 multiplications.
/// Row by row, so that the inner loop is a dot product of two contiguous rows. The general library would do, but it
/// copies the matrix and starts its own threads for sizes of a few hundred, where this one is done sooner.
/// </remarks>
public sealed class CholeskyFactor
{
    private readonly double[] lower;

    private CholeskyFactor(double[] lower, int size) => (this.lower, Size) = (lower, size);

    public int Size { get; }

    /// <summary>Factors in place; null where the matrix is not positive definite.</summary>
    public static CholeskyFactor? Factor(double[] matrix, int size)
    {
        for (var i = 0; i < size; i++)
        {
            var row = matrix.AsSpan(i * size, i + 1);
            for (var j = 0; j < i; j++)
            {
                var other = matrix.AsSpan(j * size, j + 1);
                row[j] = (row[j] - Dot(row[..j], other[..j])) / other[j];
            }
            var pivot = row[i] - Dot(row[..i], row[..i]);
            if (!(pivot > 0))
                return null;
            row[i] = Math.Sqrt(pivot);
        }
        return new CholeskyFactor(matrix, size);
    }

    /// <summary>ln det of the matrix that was factored.</summary>
    public double LogDeterminant
    {
        get
        {
            var sum = 0.0;
            for (var i = 0; i < Size; i++)
                sum += Math.Log(lower[i * Size + i]);
            return 2 * sum;
        }
    }

    /// <summary>Replaces b by L⁻¹·b: data of this covariance become independent with variance 1.</summary>
    public void Whiten(Span<double> b)
    {
        for (var i = 0; i < Size; i++)
        {
            var row = lower.AsSpan(i * Size, i + 1);
            b[i] = (b[i] - Dot(row[..i], b[..i])) / row[i];
        }
    }

    /// <summary>Replaces b by A⁻¹·b, where A is the matrix that was factored.</summary>
    public void Solve(Span<double> b)
    {
        Whiten(b);
        for (var i = Size - 1; i >= 0; i--)
        {
            var row = lower.AsSpan(i * Size, i + 1);
            var x = b[i] / row[i];
            b[i] = x;
            for (var j = 0; j < i; j++)
                b[j] -= x * row[j];
        }
    }

    internal static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var sums = Vector<double>.Zero;
        var va = MemoryMarshal.Cast<double, Vector<double>>(a);
        var vb = MemoryMarshal.Cast<double, Vector<double>>(b);
        for (var i = 0; i < va.Length; i++)
            sums += va[i] * vb[i];
        var sum = Vector.Sum(sums);
        for (var i = va.Length * Vector<double>.Count; i < a.Length; i++)
            sum += a[i] * b[i];
        return sum;
    }
}
