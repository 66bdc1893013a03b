using System.Buffers.Binary;
using System.Text;

namespace CaptureProc.Plugins.Spots;

/// <summary>A spot plug-in's own part of the state: the chosen spot's name before the session link.</summary>
/// <remarks>Bytes: int32 length (little-endian), the name in UTF-8, then the link. Damaged bytes read as no name and no link.</remarks>
internal static class SavedSpot
{
    private const int MaxNameBytes = 1024;

    public static byte[] ToBytes(string name, byte[] link)
    {
        var text = Encoding.UTF8.GetBytes(name);
        var bytes = new byte[4 + text.Length + link.Length];
        BinaryPrimitives.WriteInt32LittleEndian(bytes, text.Length);
        text.CopyTo(bytes, 4);
        link.CopyTo(bytes, 4 + text.Length);
        return bytes;
    }

    public static string NameOf(ReadOnlySpan<byte> bytes, out ReadOnlySpan<byte> link)
    {
        link = [];
        if (bytes.Length < 4)
            return "";
        var length = BinaryPrimitives.ReadInt32LittleEndian(bytes);
        if (length is < 0 or > MaxNameBytes || length > bytes.Length - 4)
            return "";
        link = bytes[(4 + length)..];
        return Encoding.UTF8.GetString(bytes.Slice(4, length));
    }
}
