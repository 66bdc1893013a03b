using System.Buffers.Binary;
using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Link;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>What an array plug-in keeps in a host's project behind the session link: a kept line-up, then the array that it plays.</summary>
/// <remarks>
/// Where the array is not the main one its name follows; a line-up that was not kept then stands there with the length 0. A project from
/// before there was a choice ends earlier and means the main array.
/// </remarks>
internal static class SavedArray
{
    public static byte[] ToBytes(TrimSet? kept, string array)
    {
        var lineUp = SavedLineUp.ToBytes(kept);
        if (array.Length == 0)
            return lineUp;
        return [.. lineUp.Length > 0 ? lineUp : new byte[sizeof(int)], .. SavedName.ToBytes(array)];
    }

    public static (TrimSet? Kept, string Array) FromBytes(ReadOnlySpan<byte> bytes)
    {
        var kept = SavedLineUp.FromBytes(bytes);
        if (bytes.Length < sizeof(int) || BinaryPrimitives.ReadInt32LittleEndian(bytes) is var length && (length < 0 || length > bytes.Length - sizeof(int)))
            return (kept, "");
        var rest = bytes[(sizeof(int) + length)..];
        return (kept, SavedName.FromBytes(ref rest));
    }
}
