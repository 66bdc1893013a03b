using System.Security.Cryptography;

namespace CaptureProc.Session;

/// <summary>What a command has read, by name and by content, for the session's history.</summary>
/// <remarks>Thread: [any]. Cost: one reading of every file; where that is not wanted in line, run it beside the work.</remarks>
public static class InputFingerprint
{
    /// <exception cref="UnusableInputException">A file cannot be read.</exception>
    public static HistoryEntry Of(string command, IReadOnlyList<string> paths) => new()
    {
        At = DateTimeOffset.UtcNow,
        Command = command,
        Inputs = [.. paths.Select(path => new HistoryInput { File = Path.GetFileName(path), Sha256 = HashOf(path) })],
    };

    private static string HashOf(string path)
    {
        try
        {
            // A megabyte at a time: the hash is faster than the disk, and small reads would make it wait.
            using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read, 1 << 20, FileOptions.SequentialScan);
            return Convert.ToHexStringLower(SHA256.HashData(stream));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("input-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')}); check the file and its permissions", e);
        }
    }
}
