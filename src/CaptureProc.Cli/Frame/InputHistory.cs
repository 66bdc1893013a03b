using System.Security.Cryptography;
using CaptureProc.Session;

namespace CaptureProc.Cli.Frame;

/// <summary>What a command read, for the session's history: a file is known again by its content, not by its name.</summary>
internal static class InputHistory
{
    public static HistoryEntry Of(string command, IEnumerable<string> files) => new()
    {
        At = DateTimeOffset.UtcNow,
        Command = command,
        Inputs = [.. files.Select(file => new HistoryInput { File = Path.GetFileName(file), Sha256 = Sha256(file) })],
    };

    private static string Sha256(string file)
    {
        try
        {
            using var stream = File.OpenRead(file);
            return Convert.ToHexStringLower(SHA256.HashData(stream));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("input-unreadable", $"{file}: cannot be read ({e.Message.TrimEnd('.')}); check the file and its permissions", e);
        }
    }
}
