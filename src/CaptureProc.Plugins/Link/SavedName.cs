using System.Buffers.Binary;
using System.Text;

namespace CaptureProc.Plugins.Link;

/// <summary>A name in a saved state: its length as int32 (little-endian), then UTF-8.</summary>
internal static class SavedName
{
    private const int MaxNameBytes = 1024;

    public static byte[] ToBytes(string name)
    {
        var text = Encoding.UTF8.GetBytes(name);
        var bytes = new byte[sizeof(int) + text.Length];
        BinaryPrimitives.WriteInt32LittleEndian(bytes, text.Length);
        text.CopyTo(bytes, sizeof(int));
        return bytes;
    }

    /// <summary>Empty where there is none, or where the bytes are damaged; then nothing is left of them.</summary>
    /// <param name="bytes">From the name on; what comes after it is left.</param>
    public static string FromBytes(ref ReadOnlySpan<byte> bytes)
    {
        var from = bytes;
        bytes = [];
        if (from.Length < sizeof(int))
            return "";
        var length = BinaryPrimitives.ReadInt32LittleEndian(from);
        if (length is < 0 or > MaxNameBytes || length > from.Length - sizeof(int))
            return "";
        bytes = from[(sizeof(int) + length)..];
        return Encoding.UTF8.GetString(from.Slice(sizeof(int), length));
    }
}
