using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.RealTime;

/// <summary>Energy of a run of samples, and what two of them have in common.</summary>
public static class SignalPower
{
    /// <summary>Sum of squares. Thread: [any]. Allocates: never. Error: lanes are summed in float, which for a block of some thousand samples is below 1e-5.</summary>
    public static double SumOfSquares(ReadOnlySpan<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        Vector<float> lanes = default;
        foreach (var v in vectors)
            lanes = Vector.FusedMultiplyAdd(v, v, lanes);
        double sum = Vector.Sum(lanes);
        foreach (var x in samples[(vectors.Length * Vector<float>.Count)..])
            sum += (double)x * x;
        return sum;
    }

    /// <summary>Sum of products of two runs of one length. Thread: [any]. Allocates: never. Error: as above.</summary>
    public static double SumOfProducts(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        b = b[..a.Length];
        var left = MemoryMarshal.Cast<float, Vector<float>>(a);
        var right = MemoryMarshal.Cast<float, Vector<float>>(b);
        Vector<float> lanes = default;
        for (var i = 0; i < left.Length; i++)
            lanes = Vector.FusedMultiplyAdd(left[i], right[i], lanes);
        double sum = Vector.Sum(lanes);
        for (var n = left.Length * Vector<float>.Count; n < a.Length; n++)
            sum += (double)a[n] * b[n];
        return sum;
    }
}
