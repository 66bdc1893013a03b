using NAudio.Wave;

namespace CaptureProc.Wav.Riff;

/// <summary>The extensible <c>fmt</c> chunk whose sub-format says "B-format": FuMa order and scale.</summary>
/// <remarks>
/// GUID 00000001-0721-11D3-8644-C8C1CA000000 for PCM, 00000003-… for float, channel mask 0. The library's own extensible
/// format knows the plain sub-formats only. Source: libsndfile (wavlike.c).
/// </remarks>
internal sealed class BFormatWaveFormat : WaveFormat
{
    private const int ExtensionBytes = 22;

    private readonly Guid subFormat;

    public BFormatWaveFormat(int sampleRateHz, int bits, int channelCount, bool isFloat)
        : base(sampleRateHz, bits, channelCount)
    {
        waveFormatTag = WaveFormatEncoding.Extensible;
        extraSize = ExtensionBytes;
        subFormat = SubFormat(isFloat ? 3 : 1);
    }

    /// <summary>Whether the extension of a format chunk, 24 bytes into it, is that of a B-format.</summary>
    public static bool IsSubFormat(ReadOnlySpan<byte> guid) =>
        guid.Length >= 16 && new Guid(guid[..16]) is var found && (found == SubFormat(1) || found == SubFormat(3));

    public override void Serialize(BinaryWriter writer)
    {
        base.Serialize(writer);
        writer.Write((short)BitsPerSample);
        writer.Write(0);
        writer.Write(subFormat.ToByteArray());
    }

    private static Guid SubFormat(int tag) => new(tag, 0x0721, 0x11D3, 0x86, 0x44, 0xC8, 0xC1, 0xCA, 0, 0, 0);
}
