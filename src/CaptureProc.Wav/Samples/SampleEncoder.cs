using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Wav.Samples;

/// <summary>Float to samples as they are stored: rounded to nearest, held at full scale.</summary>
/// <remarks>
/// Thread: one. Allocates: never. No dither: the rounding of 24 bits lies near −146 dBFS, 30 dB under the self-noise of any
/// microphone, which dithers it; and a conversion stays repeatable to the bit. Samples beyond full scale are held and counted.
/// </remarks>
internal sealed class SampleEncoder
{
    /// <summary>How many samples were beyond full scale so far.</summary>
    public long ClippedSamples { get; private set; }

    /// <summary>The farthest of them; 1 is full scale.</summary>
    public float HighestPeak { get; private set; }

    /// <summary>Encodes all of <paramref name="samples"/>.</summary>
    public void Encode(SampleFormat format, ReadOnlySpan<float> samples, Span<byte> bytes)
    {
        var clipped = EncodeAs(format, samples, bytes);
        if (clipped == 0)
            return;
        ClippedSamples += clipped;
        HighestPeak = Math.Max(HighestPeak, Peak(samples));
    }

    private static int EncodeAs(SampleFormat format, ReadOnlySpan<float> samples, Span<byte> bytes) => format switch
    {
        SampleFormat.Pcm16 => Encode16(samples, MemoryMarshal.Cast<byte, short>(bytes)),
        SampleFormat.Pcm24 => Encode24(samples, bytes),
        SampleFormat.Pcm32 => Encode32(samples, MemoryMarshal.Cast<byte, int>(bytes)),
        _ => EncodeFloat(samples, MemoryMarshal.Cast<byte, float>(bytes)),
    };

    private static int Encode16(ReadOnlySpan<float> samples, Span<short> target)
    {
        var clipped = 0;
        for (var i = 0; i < samples.Length; i++)
            target[i] = (short)Round(samples[i], 32768, ref clipped);
        return clipped;
    }

    private static int Encode24(ReadOnlySpan<float> samples, Span<byte> target)
    {
        const float full = 8388608;
        var (i, clipped) = (0, 0);
        var pack = Vector128.Create((byte)0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, 255, 255, 255, 255);
        // A store writes 16 bytes of which 12 count; the next one overwrites the rest, and the loop ends while there is room for it.
        for (; i <= samples.Length - 4 && 3 * i + Vector128<byte>.Count <= target.Length; i += 4)
        {
            var scaled = Vector128.Round(Vector128.Create(samples[i..]) * full);
            var held = Vector128.Min(Vector128.Max(scaled, Vector128.Create(-full)), Vector128.Create(full - 1));
            if (!Vector128.EqualsAll(held, scaled))
                clipped += 4 - int.PopCount((int)Vector128.Equals(held, scaled).ExtractMostSignificantBits());
            Vector128.Shuffle(Vector128.ConvertToInt32(held).AsByte(), pack).CopyTo(target[(3 * i)..]);
        }
        for (; i < samples.Length; i++)
        {
            var value = (int)Round(samples[i], full, ref clipped);
            target[3 * i] = (byte)value;
            target[3 * i + 1] = (byte)(value >> 8);
            target[3 * i + 2] = (byte)(value >> 16);
        }
        return clipped;
    }

    private static int Encode32(ReadOnlySpan<float> samples, Span<int> target)
    {
        var clipped = 0;
        for (var i = 0; i < samples.Length; i++)
            target[i] = (int)Round(samples[i], 2147483648, ref clipped);
        return clipped;
    }

    // Float holds what is beyond full scale: nothing is lost, so there is nothing to count.
    private static int EncodeFloat(ReadOnlySpan<float> samples, Span<float> target)
    {
        samples.CopyTo(target);
        return 0;
    }

    private static float Peak(ReadOnlySpan<float> samples)
    {
        var peak = 0f;
        foreach (var sample in samples)
            peak = Math.Max(peak, Math.Abs(sample));
        return peak;
    }

    private static double Round(float sample, double full, ref int clipped)
    {
        var scaled = Math.Round(sample * full);
        var held = Math.Clamp(scaled, -full, full - 1);
        if (held != scaled)
            clipped++;
        return held;
    }
}
