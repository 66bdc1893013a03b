using System.Security.Cryptography;

namespace CaptureProc.Session;

/// <summary>What a command has read, by name and by content, for the session's history.</summary>
/// <remarks>Thread: [any]. Cost: one reading of every file; where that is not wanted in line, run it beside the work.</remarks>
public static class InputFingerprint
{
    /// <summary>Between two files: the second follows in time.</summary>
    public const string Then = "then";

    /// <summary>Between two files: they run side by side.</summary>
    public const string With = "with";

    /// <param name="command">Its name.</param>
    /// <param name="words">The files as they were given, with the words between them.</param>
    /// <param name="ignoreStamps">Whether their time stamps were left aside.</param>
    /// <exception cref="UnusableInputException">A file cannot be read.</exception>
    public static HistoryEntry Of(string command, IEnumerable<string> words, bool ignoreStamps = false)
    {
        var inputs = new List<HistoryInput>();
        string? joined = null;
        foreach (var word in words)
        {
            if (word is Then or With)
                joined = word;
            else
            {
                inputs.Add(new HistoryInput { File = Path.GetFileName(word), Sha256 = HashOf(word), Joined = joined });
                joined = null;
            }
        }
        return new HistoryEntry { At = DateTimeOffset.UtcNow, Command = command, Inputs = inputs, IgnoreStamps = ignoreStamps };
    }

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
