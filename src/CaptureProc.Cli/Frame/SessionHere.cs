using System.CommandLine;
using System.CommandLine.Parsing;
using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Cli.Frame;

/// <summary>A session need not be named where the current folder holds one only.</summary>
/// <remarks>
/// Nothing is remembered from one command to the next: the folder that a person works in says which session is meant, and a
/// folder with two of them asks. A first word that is no session file is then the recording, or whatever else the command takes.
/// </remarks>
internal static class SessionHere
{
    /// <summary>What the argument is called in every command that works on a session.</summary>
    public const string ArgumentName = "SESSION";

    // The word that makes a file a session stands in its first line; whoever sorted the members by hand has not moved it far.
    private const int HeadBytes = 65536;

    /// <summary>The words with the session put in, where the command needs one and none is given; null where nothing is missing.</summary>
    public static string[]? Complete(ParseResult parsed, string[] args, Desk desk)
    {
        var command = parsed.CommandResult.Command;
        if (command.Arguments is not [{ Name: ArgumentName } session, ..] || !IsMissing(parsed, session, command.Arguments.Count))
            return null;
        var found = Find(desk);
        var at = Array.IndexOf(args, command.Name) + 1;
        return [.. args[..at], found, .. args[at..]];
    }

    /// <summary>The one session of the current folder.</summary>
    public static string Find(Desk desk)
    {
        var found = Directory.EnumerateFiles(".", "*.json").Select(f => Path.GetFileName(f)).Where(IsSession).Order(StringComparer.Ordinal).ToList();
        if (found is not [var only])
            throw new UnusableInputException("no-session", found.Count == 0
                ? "no session is named and this folder holds none; name the session file, or write one with 'captureproc start'"
                : $"no session is named and this folder holds several ({string.Join(", ", found)}); name the one that is meant");
        desk.Say($"session: {only}");
        return only;
    }

    private static bool IsMissing(ParseResult parsed, Argument session, int arguments)
    {
        if (parsed.GetResult(session)?.Tokens is not [var word, ..])
            return session.Arity.MinimumNumberOfValues > 0;
        // Where the session is the only word, whatever stands there is meant to be it.
        if (arguments == 1)
            return false;
        // No recording comes through a pipe, so whatever does is the session, unless the words are then too few.
        if (FileIdentity.Of(word.Value)?.Kind is FileKind.Pipe or FileKind.Device)
            return parsed.Errors.Count > 0;
        return !word.Value.EndsWith(".json", StringComparison.OrdinalIgnoreCase) && !Directory.Exists(word.Value) && !IsSession(word.Value);
    }

    private static bool IsSession(string path)
    {
        try
        {
            // A pipe or a device is left alone: reading it would take away what it holds.
            if (FileIdentity.Of(path)?.Kind != FileKind.File)
                return false;
            using var stream = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            var head = new byte[Math.Min(HeadBytes, stream.Length)];
            return head.AsSpan(0, stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false))
                .IndexOf(Encoding.UTF8.GetBytes($"\"{SessionDocument.FormatName}\"")) >= 0;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // What cannot be read is no session to choose; named, it is refused with the reason.
            return false;
        }
    }
}
