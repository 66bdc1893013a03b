using System.Numerics;
using System.Runtime.InteropServices;

namespace CaptureProc.Plugins.Watching;

/// <summary>Peaks and clipped samples of some channels, for a window that looks now and then.</summary>
/// <remarks>
/// Thread: Add [audio]; the rest [main]. Allocates: in the constructor only. While nobody watches, Add does nothing.
/// Clipped is what reaches full scale: 1.0, or what a converter of 16 bits writes for it.
/// </remarks>
internal sealed class PeakWatch(int channels)
{
    private const float FullScale = 32767f / 32768;

    private readonly int[] peakBits = new int[channels];
    private readonly long[] clips = new long[channels];

    private volatile bool isWatched;

    public bool IsWatched
    {
        get => isWatched;
        set => isWatched = value;
    }

    /// <summary>Takes a part of a block.</summary>
    public void Add(int channel, ReadOnlySpan<float> samples)
    {
        if (!isWatched)
            return;
        var peak = LargestMagnitude(samples);
        // Positive floats are ordered like the integers with the same bits.
        var bits = BitConverter.SingleToInt32Bits(peak);
        var before = Volatile.Read(ref peakBits[channel]);
        while (bits > before && Interlocked.CompareExchange(ref peakBits[channel], bits, before) is var now && now != before)
            before = now;
        if (peak >= FullScale)
            Volatile.Write(ref clips[channel], clips[channel] + CountClipped(samples));
    }

    /// <summary>The peak in dBFS since the last time this was asked, and the clipped samples of all time.</summary>
    public (double PeakDb, long Clips) Take(int channel)
    {
        var peak = BitConverter.Int32BitsToSingle(Interlocked.Exchange(ref peakBits[channel], 0));
        return (peak > 0 ? 20 * Math.Log10(peak) : double.NegativeInfinity, Volatile.Read(ref clips[channel]));
    }

    private static float LargestMagnitude(ReadOnlySpan<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        var lanes = Vector<float>.Zero;
        foreach (ref readonly var vector in vectors)
            lanes = Vector.Max(lanes, Vector.Abs(vector));
        var peak = 0f;
        for (var i = 0; i < Vector<float>.Count; i++)
            peak = MathF.Max(peak, lanes[i]);
        foreach (var sample in samples[(vectors.Length * Vector<float>.Count)..])
            peak = MathF.Max(peak, MathF.Abs(sample));
        return peak;
    }

    private static int CountClipped(ReadOnlySpan<float> samples)
    {
        var count = 0;
        foreach (var sample in samples)
            if (MathF.Abs(sample) >= FullScale)
                count++;
        return count;
    }
}
