using System.Buffers.Binary;
using System.Text;
using CaptureProc.Plugins.Link;

namespace CaptureProc.Plugins.Spots;

/// <summary>A spot plug-in's own part of the state: the chosen spot's name before the session link, the array's behind it.</summary>
/// <remarks>
/// Bytes: int32 length (little-endian), the spot's name in UTF-8, then the link, then length and name of the array. Damaged bytes read as
/// no name and no link; a state that ends with the link means the main array.
/// </remarks>
internal static class SavedSpot
{
    private const int MaxNameBytes = 1024;

    public static byte[] ToBytes(string spot, byte[] link, string array) => [.. Named(spot), .. link, .. Named(array)];

    /// <param name="bytes">The state.</param>
    /// <param name="link">What comes after the spot's name.</param>
    public static string SpotOf(ReadOnlySpan<byte> bytes, out ReadOnlySpan<byte> link) => NameOf(bytes, out link);

    /// <param name="link">As <see cref="SpotOf"/> gave it.</param>
    public static string ArrayOf(ReadOnlySpan<byte> link)
    {
        SavedLink.FromBytes(ref link);
        return NameOf(link, out _);
    }

    private static byte[] Named(string name)
    {
        var text = Encoding.UTF8.GetBytes(name);
        var bytes = new byte[4 + text.Length];
        BinaryPrimitives.WriteInt32LittleEndian(bytes, text.Length);
        text.CopyTo(bytes, 4);
        return bytes;
    }

    private static string NameOf(ReadOnlySpan<byte> bytes, out ReadOnlySpan<byte> rest)
    {
        rest = [];
        if (bytes.Length < 4)
            return "";
        var length = BinaryPrimitives.ReadInt32LittleEndian(bytes);
        if (length is < 0 or > MaxNameBytes || length > bytes.Length - 4)
            return "";
        rest = bytes[(4 + length)..];
        return Encoding.UTF8.GetString(bytes.Slice(4, length));
    }
}
