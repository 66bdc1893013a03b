using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.RealTime;

/// <summary>Energy of a run of samples.</summary>
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
}
