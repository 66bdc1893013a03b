using System.Buffers.Binary;

namespace CaptureProc.Rendering.Delivery;

/// <summary>The first packet of an Opus stream: how its streams become channels.</summary>
/// <param name="MappingFamily">2 = a sound field, one stream a channel, ACN order and SN3D scale.</param>
/// <remarks>
/// Little-endian: "OpusHead", version, channels, u16 pre-skip, u32 rate, i16 gain, family, streams, coupled streams, then for
/// families 1 and 2 the stream that each channel comes from. Source: RFC 7845 section 5.1, RFC 8486 section 3.
/// </remarks>
public sealed record OpusHead(int ChannelCount, int PreSkipFrames, int MappingFamily, int StreamCount, int CoupledCount, IReadOnlyList<int> Mapping)
{
    private const int FixedBytes = 19;

    // An Ogg page head, and then the packet: it comes first in the file, alone in its page (RFC 7845 section 3).
    private const int OggPageHeadBytes = 27;

    /// <summary>Reads the head of an Ogg Opus file; null where it is none.</summary>
    public static OpusHead? ReadOgg(string path)
    {
        using var stream = File.OpenRead(path);
        var start = new byte[1024];
        var length = stream.ReadAtLeast(start, start.Length, throwOnEndOfStream: false);
        if (length < OggPageHeadBytes || !start.AsSpan(0, 4).SequenceEqual("OggS"u8))
            return null;
        return Parse(start.AsSpan(0, length)[Math.Min(length, OggPageHeadBytes + start[OggPageHeadBytes - 1])..]);
    }

    public static OpusHead? Parse(ReadOnlySpan<byte> packet)
    {
        if (packet.Length < FixedBytes || !packet[..8].SequenceEqual("OpusHead"u8))
            return null;
        var (channels, family) = (packet[9], packet[18]);
        var preSkip = BinaryPrimitives.ReadUInt16LittleEndian(packet[10..]);
        if (family == 0)
            return new OpusHead(channels, preSkip, 0, 1, channels - 1, [.. Enumerable.Range(0, channels)]);
        if (family == 3 || packet.Length < FixedBytes + 2 + channels)
            return new OpusHead(channels, preSkip, family, packet[19], packet[20], []);
        return new OpusHead(channels, preSkip, family, packet[19], packet[20], [.. packet.Slice(21, channels).ToArray()]);
    }

    /// <summary>One uncoupled stream a channel, in order.</summary>
    public bool IsPlainField(int channels) =>
        MappingFamily == 2 && ChannelCount == channels && StreamCount == channels && CoupledCount == 0
        && Mapping.SequenceEqual(Enumerable.Range(0, channels));
}
