using System.Text.Json;

namespace CaptureProc.Session.Published;

/// <summary>Puts sessions where plug-ins look for them, lists them, and takes them away again.</summary>
/// <remarks>
/// Thread: [main]. The folder is made when the first session is published. Notes are written beside and renamed, like every
/// file of ours. What else lies in the folder is ignored when listing, and never touched.
/// Errors: <see cref="UnusableInputException"/>.
/// </remarks>
public static class PublishedSessions
{
    private const string Extension = ".published.json";

    // A note is some hundred bytes; whatever is larger is not one of ours, and is not read into a plug-in's host.
    private const int MaxNoteBytes = 64 * 1024;

    /// <summary>All published sessions, by name. A session whose file has gone is listed too: its user has to see that.</summary>
    public static IReadOnlyList<PublishedSession> List(string? folder = null)
    {
        folder ??= PublishedFolder.Locate();
        if (!Directory.Exists(folder))
            return [];
        var found = new List<PublishedSession>();
        foreach (var path in Directory.EnumerateFiles(folder, "*" + Extension))
        {
            if (ReadNote(path) is { } note)
                found.Add(new PublishedSession(NameOf(path), note.Session));
        }
        found.Sort((a, b) => string.Compare(a.Name, b.Name, StringComparison.OrdinalIgnoreCase));
        return found;
    }

    /// <summary>Publishes a session under its title (or its file's name); the same file twice stays one entry.</summary>
    public static PublishedSession Publish(string sessionPath, string? folder = null)
    {
        folder ??= PublishedFolder.Locate();
        // A pipe is gone before a plug-in looks.
        var session = SessionStore.ReadToChange(sessionPath);
        sessionPath = Path.GetFullPath(sessionPath);
        var existing = List(folder);
        foreach (var entry in existing)
            if (SamePath(entry.SessionPath, sessionPath))
                return entry;

        var wanted = FileName(session.Title is { Length: > 0 } title ? title : Path.GetFileNameWithoutExtension(sessionPath));
        var name = wanted;
        for (var number = 2; existing.Any(e => string.Equals(e.Name, name, StringComparison.OrdinalIgnoreCase)); number++)
            name = $"{wanted} {number}";
        try
        {
            Directory.CreateDirectory(folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("publish-refused", $"{folder}: cannot be made ({e.Message.TrimEnd('.')}); check its permissions", e);
        }
        using var file = PendingFile.Create(Path.Combine(folder, name + Extension), replace: true);
        file.Guard(stream => JsonSerializer.Serialize(stream, new PublishedNote { Session = sessionPath }, PublishedNoteJson.Default.PublishedNote));
        file.Complete();
        return new PublishedSession(name, sessionPath);
    }

    /// <summary>Takes a session away from the plug-ins, by its file or by the name it is listed under; the session file stays.</summary>
    public static PublishedSession Withdraw(string sessionPathOrName, string? folder = null)
    {
        folder ??= PublishedFolder.Locate();
        var path = Path.GetFullPath(sessionPathOrName);
        var entry = List(folder).FirstOrDefault(e => SamePath(e.SessionPath, path)
                || string.Equals(e.Name, sessionPathOrName, StringComparison.OrdinalIgnoreCase))
            ?? throw new UnusableInputException("not-published",
                $"{sessionPathOrName}: is not published; 'captureproc publish --list' shows what is");
        try
        {
            File.Delete(Path.Combine(folder, entry.Name + Extension));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("publish-refused", $"{entry.Name}: cannot be withdrawn ({e.Message.TrimEnd('.')})", e);
        }
        return entry;
    }

    private static PublishedNote? ReadNote(string path)
    {
        try
        {
            if (new FileInfo(path).Length > MaxNoteBytes)
                return null;
            var note = JsonSerializer.Deserialize(SharedFile.ReadAllBytes(path), PublishedNoteJson.Default.PublishedNote);
            return note is { Format: PublishedNote.FormatName, Version: PublishedNote.CurrentVersion, Session.Length: > 0 } ? note : null;
        }
        catch (Exception e) when (e is JsonException or IOException or UnauthorizedAccessException)
        {
            // Somebody else's file, or one that is going away while we look: not an entry.
            return null;
        }
    }

    private static string NameOf(string path) => Path.GetFileName(path)[..^Extension.Length];

    private static bool SamePath(string a, string b) => string.Equals(
        a, b, OperatingSystem.IsLinux() ? StringComparison.Ordinal : StringComparison.OrdinalIgnoreCase);

    // The name becomes a file name on every system.
    private static string FileName(string title)
    {
        Span<char> name = stackalloc char[Math.Min(title.Length, 60)];
        for (var i = 0; i < name.Length; i++)
            name[i] = char.IsControl(title[i]) || "/\\:*?\"<>|".Contains(title[i], StringComparison.Ordinal) ? '-' : title[i];
        var trimmed = new string(name).Trim(' ', '.');
        // A session called "nul" would be written to a device.
        return trimmed.Length == 0 ? "session" : WindowsNames.IsDevice(trimmed) ? $"session {trimmed}" : trimmed;
    }
}
