using CaptureProc.Plugins.Link;

namespace CaptureProc.Plugins.Spots;

/// <summary>A spot plug-in's own part of the state: the chosen spot's name before the session link, the array's behind it.</summary>
/// <remarks>
/// Damaged bytes read as no name and no link; a state that ends with the link means the main array.
/// </remarks>
internal static class SavedSpot
{
    public static byte[] ToBytes(string spot, byte[] link, string array) => [.. SavedName.ToBytes(spot), .. link, .. SavedName.ToBytes(array)];

    /// <param name="bytes">The state.</param>
    /// <param name="link">What comes after the spot's name.</param>
    public static string SpotOf(ReadOnlySpan<byte> bytes, out ReadOnlySpan<byte> link)
    {
        link = bytes;
        return SavedName.FromBytes(ref link);
    }

    /// <param name="link">As <see cref="SpotOf"/> gave it.</param>
    public static string ArrayOf(ReadOnlySpan<byte> link)
    {
        SavedLink.FromBytes(ref link);
        return SavedName.FromBytes(ref link);
    }
}
