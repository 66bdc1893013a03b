using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Dsp.RealTime;

/// <summary>Keeps samples out that no arithmetic survives: NaN, infinity and the absurdly large; and those too small to matter.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// Limit: 2^40 is 240 dB above full scale; no converter and no mixer makes it, and sums and squares of it stay finite in a float.
/// Floor: 2^-100 is 602 dB below full scale. What decays further would soon be a denormal number, on which many processors
/// are a hundred times slower, and .NET has no switch that flushes them; so they are let in as zero.
/// </remarks>
public static class SampleGuard
{
    public const float Limit = 1L << 40;

    public const float Floor = 1f / (1L << 50) / (1L << 50);

    /// <summary>Whether every sample is finite and within <see cref="Limit"/>.</summary>
    public static bool IsUsable(ReadOnlySpan<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        var limit = new Vector<float>(Limit);
        foreach (var v in vectors)
        {
            // Written so that a NaN, for which every comparison is false, fails.
            if (!Vector.LessThanOrEqualAll(Vector.Abs(v), limit))
                return false;
        }

        foreach (var x in samples[(vectors.Length * Vector<float>.Count)..])
        {
            if (!(Math.Abs(x) <= Limit))
                return false;
        }

        return true;
    }

    /// <summary>Whether every sample of every channel is usable.</summary>
    public static bool IsUsable(ReadOnlyPlanarSpan block)
    {
        for (var channel = 0; channel < block.Channels; channel++)
        {
            if (!IsUsable(block[channel]))
                return false;
        }

        return true;
    }

    /// <summary>Copies, with samples below <see cref="Floor"/> as zero. Source and destination may be the same.</summary>
    public static void CopyFlushed(ReadOnlySpan<float> source, Span<float> destination)
    {
        if (destination.Length < source.Length)
            throw new ArgumentException($"The destination has {destination.Length} samples, the source {source.Length}.", nameof(destination));
        var floor = new Vector<float>(Floor);
        var from = MemoryMarshal.Cast<float, Vector<float>>(source);
        var to = MemoryMarshal.Cast<float, Vector<float>>(destination);
        for (var i = 0; i < from.Length; i++)
            to[i] = Vector.ConditionalSelect(Vector.GreaterThanOrEqual(Vector.Abs(from[i]), floor), from[i], Vector<float>.Zero);
        for (var i = from.Length * Vector<float>.Count; i < source.Length; i++)
            destination[i] = Math.Abs(source[i]) >= Floor ? source[i] : 0;
    }
}
