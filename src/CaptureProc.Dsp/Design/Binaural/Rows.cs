using System.Numerics;

namespace CaptureProc.Dsp.Design.Binaural;

/// <summary>The two loops in which the design spends its time.</summary>
internal static class Rows
{
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var sum = Vector<double>.Zero;
        var i = 0;
        for (; i <= a.Length - Vector<double>.Count; i += Vector<double>.Count)
            sum += new Vector<double>(a[i..]) * new Vector<double>(b[i..]);
        var total = Vector.Sum(sum);
        for (; i < a.Length; i++)
            total += a[i] * b[i];
        return total;
    }

    /// <summary>sum += factor · row.</summary>
    public static void AddScaled(Span<double> sum, ReadOnlySpan<double> row, double factor)
    {
        var i = 0;
        for (; i <= sum.Length - Vector<double>.Count; i += Vector<double>.Count)
            (new Vector<double>(sum[i..]) + factor * new Vector<double>(row[i..])).CopyTo(sum[i..]);
        for (; i < sum.Length; i++)
            sum[i] += factor * row[i];
    }
}
