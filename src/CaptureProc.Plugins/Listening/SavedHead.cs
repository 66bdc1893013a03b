using System.Buffers.Binary;
using System.Text;
using CaptureProc.Dsp.Binaural;

namespace CaptureProc.Plugins.Listening;

/// <summary>A listen plug-in's own part of the state: the head's name and the head itself, so that a project sounds the same anywhere.</summary>
/// <remarks>
/// Bytes: nothing for the usual head; else the name's length as an int32 (little-endian), the name in UTF-8, and the decoder.
/// Damaged bytes read as no name, a damaged decoder as none.
/// </remarks>
internal static class SavedHead
{
    private const int MaxNameBytes = 1024;

    public static byte[] ToBytes(HeadChoice choice)
    {
        if (choice.Name.Length == 0)
            return [];
        using var stream = new MemoryStream();
        var name = Encoding.UTF8.GetBytes(choice.Name);
        Span<byte> length = stackalloc byte[4];
        BinaryPrimitives.WriteInt32LittleEndian(length, name.Length);
        stream.Write(length);
        stream.Write(name);
        if (choice.Origin != HeadOrigin.NotFound)
            BinauralDecoderFormat.Write(choice.Decoder, stream);
        return stream.ToArray();
    }

    public static (string Name, BinauralDecoder? Decoder) FromBytes(ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < 4)
            return ("", null);
        var length = BinaryPrimitives.ReadInt32LittleEndian(bytes);
        if (length is <= 0 or > MaxNameBytes || length > bytes.Length - 4)
            return ("", null);
        var name = Encoding.UTF8.GetString(bytes.Slice(4, length));
        var decoder = bytes[(4 + length)..];
        if (decoder.IsEmpty)
            return (name, null);
        try
        {
            using var stream = new MemoryStream(decoder.ToArray());
            return (name, BinauralDecoderFormat.Read(stream));
        }
        catch (InvalidDataException)
        {
            // A project must open whatever its bytes are; the head is then looked for by its name.
            return (name, null);
        }
    }
}
