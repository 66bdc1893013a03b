using System.Buffers.Binary;

namespace CaptureProc.Wav.Riff;

/// <summary>The <c>fmt</c> chunk: rate, channels, how samples are stored.</summary>
internal readonly record struct WavFormat(int SampleRateHz, int ChannelCount, SampleFormat SampleFormat)
{
    private const int TagPcm = 1, TagFloat = 3, TagExtensible = 0xFFFE;

    public int BytesPerFrame => ChannelCount * SampleFormat.BytesPerSample();

    /// <summary>The channels are a sound field in FuMa order and scale.</summary>
    public bool IsBFormat { get; init; }

    public static WavFormat Parse(ReadOnlySpan<byte> chunk)
    {
        if (chunk.Length < 16)
            throw new InvalidDataException("is damaged: its 'fmt' chunk is too short; repair it with the recorder that made it");
        var tag = BinaryPrimitives.ReadUInt16LittleEndian(chunk);
        var channels = BinaryPrimitives.ReadUInt16LittleEndian(chunk[2..]);
        var rate = BinaryPrimitives.ReadUInt32LittleEndian(chunk[4..]);
        var blockBytes = BinaryPrimitives.ReadUInt16LittleEndian(chunk[12..]);
        var bits = BinaryPrimitives.ReadUInt16LittleEndian(chunk[14..]);
        // The sub-format's first two bytes are the plain tag, whichever GUID (PCM, float, ambisonic B-format) goes on from there.
        var isBFormat = tag == TagExtensible && chunk.Length >= 40 && BFormatWaveFormat.IsSubFormat(chunk[24..]);
        if (tag == TagExtensible && chunk.Length >= 26)
            tag = BinaryPrimitives.ReadUInt16LittleEndian(chunk[24..]);
        if (channels == 0)
            throw new InvalidDataException("has no channels: its header says 0; record or export it again");
        if (rate is 0 or > 10_000_000)
            throw new InvalidDataException($"has a sample rate of {rate} Hz in its header; record or export it again");
        SampleFormat? format = (tag, bits) switch
        {
            (TagPcm, 16) => SampleFormat.Pcm16,
            (TagPcm, 24) => SampleFormat.Pcm24,
            (TagPcm, 32) => SampleFormat.Pcm32,
            (TagFloat, 32) => SampleFormat.Float32,
            (TagFloat, 64) => SampleFormat.Float64,
            _ => null,
        };
        if (format is null)
            throw new InvalidDataException(
                $"holds {Describe(tag, bits)} samples; 16, 24 and 32-bit PCM, 32 and 64-bit float are read: export it as one of these");
        var result = new WavFormat((int)rate, channels, format.Value) { IsBFormat = isBFormat };
        if (blockBytes != result.BytesPerFrame)
            throw new InvalidDataException(
                $"is damaged: {channels} channels of {bits} bits cannot make frames of {blockBytes} bytes; repair it with the recorder that made it");
        return result;
    }

    private static string Describe(int tag, int bits) => tag switch
    {
        TagPcm => $"{bits}-bit PCM",
        TagFloat => $"{bits}-bit float",
        _ => $"compressed (format {tag})",
    };
}
