using System.Buffers.Binary;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace CaptureProc.Wav.Samples;

/// <summary>Samples as they are stored, to float: full scale is 1.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. 16 and 24-bit samples come out exactly; 32-bit PCM and 64-bit float are rounded to float's 24
/// bits, 138 dB below the sample itself. Little-endian machines only, as everything that .NET 10 runs on here.
/// </remarks>
internal static class SampleDecoder
{
    private const float Scale16 = 1f / 32768, Scale32 = 1f / 2147483648;

    public static void Decode(SampleFormat format, ReadOnlySpan<byte> bytes, Span<float> samples)
    {
        switch (format)
        {
            case SampleFormat.Pcm16: Decode16(MemoryMarshal.Cast<byte, short>(bytes), samples); break;
            case SampleFormat.Pcm24: Decode24(bytes, samples); break;
            case SampleFormat.Pcm32: Decode32(MemoryMarshal.Cast<byte, int>(bytes), samples); break;
            case SampleFormat.Float64: Decode64(MemoryMarshal.Cast<byte, double>(bytes), samples); break;
            default: MemoryMarshal.Cast<byte, float>(bytes)[..samples.Length].CopyTo(samples); break;
        }
    }

    private static void Decode16(ReadOnlySpan<short> source, Span<float> samples)
    {
        var i = 0;
        for (; i <= samples.Length - Vector128<short>.Count; i += Vector128<short>.Count)
        {
            var (low, high) = Vector128.Widen(Vector128.Create(source[i..]));
            (Vector128.ConvertToSingle(low) * Scale16).CopyTo(samples[i..]);
            (Vector128.ConvertToSingle(high) * Scale16).CopyTo(samples[(i + 4)..]);
        }
        for (; i < samples.Length; i++)
            samples[i] = source[i] * Scale16;
    }

    private static void Decode24(ReadOnlySpan<byte> source, Span<float> samples)
    {
        var i = 0;
        // Each sample goes to the upper three bytes of an int, so its sign needs no care. A load takes 16 bytes and uses 12.
        var spread = Vector128.Create((byte)255, 0, 1, 2, 255, 3, 4, 5, 255, 6, 7, 8, 255, 9, 10, 11);
        for (; 3 * i + Vector128<byte>.Count <= source.Length && i <= samples.Length - 4; i += 4)
        {
            var wide = Vector128.Shuffle(Vector128.Create(source[(3 * i)..]), spread).AsInt32();
            (Vector128.ConvertToSingle(wide) * Scale32).CopyTo(samples[i..]);
        }
        for (; i < samples.Length; i++)
        {
            var at = 3 * i;
            samples[i] = ((source[at] << 8) | (source[at + 1] << 16) | (source[at + 2] << 24)) * Scale32;
        }
    }

    private static void Decode32(ReadOnlySpan<int> source, Span<float> samples)
    {
        var i = 0;
        for (; i <= samples.Length - Vector128<int>.Count; i += Vector128<int>.Count)
            (Vector128.ConvertToSingle(Vector128.Create(source[i..])) * Scale32).CopyTo(samples[i..]);
        for (; i < samples.Length; i++)
            samples[i] = source[i] * Scale32;
    }

    private static void Decode64(ReadOnlySpan<double> source, Span<float> samples)
    {
        for (var i = 0; i < samples.Length; i++)
            samples[i] = (float)source[i];
    }
}
