using System.Security.Cryptography;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Link;

/// <summary>One published session as the plug-ins of this process know it. Immutable.</summary>
/// <param name="Name">Under which it is published.</param>
/// <param name="Path">Of the session file.</param>
/// <param name="Session">Its content without clicks and history; null where <paramref name="Status"/> says why.</param>
/// <param name="Status">InStep, Missing, Damaged or Newer.</param>
/// <param name="ContentHash">SHA-256 of the kept content, to tell a touched file from a changed one.</param>
public sealed record CatalogEntry(string Name, string Path, SessionDocument? Session, LinkStatus Status, string ContentHash)
{
    // A session of a large ensemble has some ten kilobytes; a file beyond this is not read into somebody else's process.
    private const long MaxFileBytes = 16 << 20;

    internal static CatalogEntry Read(string name, FileInfo file)
    {
        try
        {
            file.Refresh();
            if (!file.Exists)
                return new CatalogEntry(name, file.FullName, null, LinkStatus.Missing, "");
            if (file.Length > MaxFileBytes)
                return new CatalogEntry(name, file.FullName, null, LinkStatus.Damaged, "");
            var kept = Essentials(SessionStore.Read(file.FullName));
            return new CatalogEntry(name, file.FullName, kept, LinkStatus.InStep, HashOf(kept));
        }
        catch (UnusableInputException e)
        {
            var status = e.Code switch
            {
                "session-missing" => LinkStatus.Missing,
                "session-newer" => LinkStatus.Newer,
                _ => LinkStatus.Damaged,
            };
            return new CatalogEntry(name, file.FullName, null, status, "");
        }
    }

    /// <summary>What a plug-in needs of a session: no clicks, no history, nothing unknown; small enough for a host's project.</summary>
    public static SessionDocument Essentials(SessionDocument session) =>
        session with { Clicks = [], History = [], Unknown = null, Modified = default, Created = default };

    public static string HashOf(SessionDocument essentials) => Convert.ToHexStringLower(SHA256.HashData(SessionText.Format(essentials)));
}
