using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

/// <summary>Carries samples between the host's buffers and the effect's own.</summary>
/// <remarks>
/// Thread: [audio]. Allocates: never. Shape: a channel is a run of up to blockFrames samples.
/// Copying costs a few microseconds and buys much: a host may pass the same memory for input and output, in any order of
/// channels, or no memory at all; and from here on every sample is a finite 32-bit float.
/// 64-bit samples are rounded to 32 bits on the way in (24 bits of mantissa, −144 dB), so both sizes give the same output.
/// </remarks>
internal static unsafe class SampleBuffers
{
    public static void Read(in AudioBusBuffers bus, SampleSize size, int channel, int start, Span<float> target)
    {
        var source = channel < bus.NumChannels && bus.Channels != null ? bus.Channels[channel] : null;
        if (source == null)
        {
            target.Clear();
            return;
        }
        if (size == SampleSize.Float64)
            Narrow(new ReadOnlySpan<double>((double*)source + start, target.Length), target);
        else
            new ReadOnlySpan<float>((float*)source + start, target.Length).CopyTo(target);
        SilenceNonFinite(target);
    }

    /// <summary>Writes one channel and says whether all of it is exactly zero.</summary>
    public static bool Write(ReadOnlySpan<float> source, in AudioBusBuffers bus, SampleSize size, int channel, int start)
    {
        var target = bus.Channels[channel];
        if (target == null)
            return true;
        if (size == SampleSize.Float64)
            Widen(source, new Span<double>((double*)target + start, source.Length));
        else
            source.CopyTo(new Span<float>((float*)target + start, source.Length));
        return IsSilent(source);
    }

    public static void Clear(in AudioBusBuffers bus, SampleSize size, int channel, int start, int frames)
    {
        var target = bus.Channels[channel];
        if (target == null)
            return;
        var bytes = size == SampleSize.Float64 ? sizeof(double) : sizeof(float);
        new Span<byte>((byte*)target + (long)start * bytes, frames * bytes).Clear();
    }

    /// <summary>Not a number and infinity become 0: one bad sample must not ring in a filter for ever.</summary>
    internal static void SilenceNonFinite(Span<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        for (var i = 0; i < vectors.Length; i++)
        {
            // A comparison with not-a-number is false, so one mask catches all three.
            var finite = Vector.LessThanOrEqual(Vector.Abs(vectors[i]), new Vector<float>(float.MaxValue));
            vectors[i] = Vector.ConditionalSelect(finite, vectors[i], Vector<float>.Zero);
        }
        foreach (ref var sample in samples[(vectors.Length * Vector<float>.Count)..])
            if (!float.IsFinite(sample))
                sample = 0;
    }

    internal static bool IsSilent(ReadOnlySpan<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        foreach (ref readonly var vector in vectors)
            if (!Vector.EqualsAll(vector, Vector<float>.Zero))
                return false;
        foreach (var sample in samples[(vectors.Length * Vector<float>.Count)..])
            if (sample != 0)
                return false;
        return true;
    }

    private static void Narrow(ReadOnlySpan<double> source, Span<float> target)
    {
        var i = 0;
        var pair = Vector<double>.Count;
        for (; i + 2 * pair <= source.Length; i += 2 * pair)
            Vector.Narrow(new Vector<double>(source[i..]), new Vector<double>(source[(i + pair)..])).CopyTo(target[i..]);
        for (; i < source.Length; i++)
            target[i] = (float)source[i];
    }

    private static void Widen(ReadOnlySpan<float> source, Span<double> target)
    {
        var i = 0;
        for (; i + Vector<float>.Count <= source.Length; i += Vector<float>.Count)
        {
            Vector.Widen(new Vector<float>(source[i..]), out var low, out var high);
            low.CopyTo(target[i..]);
            high.CopyTo(target[(i + Vector<double>.Count)..]);
        }
        for (; i < source.Length; i++)
            target[i] = source[i];
    }
}
