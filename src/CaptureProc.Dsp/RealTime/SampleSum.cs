using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.RealTime;

/// <summary>Adds one run of samples to another.</summary>
public static class SampleSum
{
    /// <summary>sum += source, sample by sample. Thread: [any]. Allocates: never. Shape: sum is at least as long as source.</summary>
    public static void Add(ReadOnlySpan<float> source, Span<float> sum)
    {
        sum = sum[..source.Length];
        var from = MemoryMarshal.Cast<float, Vector<float>>(source);
        var to = MemoryMarshal.Cast<float, Vector<float>>(sum);
        for (var i = 0; i < from.Length; i++)
            to[i] += from[i];
        for (var n = from.Length * Vector<float>.Count; n < source.Length; n++)
            sum[n] += source[n];
    }
}
