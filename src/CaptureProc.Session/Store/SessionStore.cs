namespace CaptureProc.Session;

/// <summary>The session file on disk: read it, change it, never lose it.</summary>
/// <remarks>
/// Thread: [any]; commands and plug-ins may use one file at once. A change holds a lock while it reads, changes and writes, so two
/// of them follow one another and neither loses its part. The new text is written beside the file, forced to disk and then
/// renamed over it: a reader sees the old file or the new one and never a mixture, and needs no lock for it.
/// Errors: <see cref="UnusableInputException"/>; whatever goes wrong, the file is left as it is.
/// </remarks>
public static class SessionStore
{
    /// <summary>How long a change waits for another one; a change takes milliseconds, so seconds mean that something is stuck.</summary>
    public static readonly TimeSpan DefaultPatience = TimeSpan.FromSeconds(5);

    public static SessionDocument Read(string path)
    {
        RequireFile(path);
        byte[] text;
        try
        {
            text = File.ReadAllBytes(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("session-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')}); check the file's permissions", e);
        }
        return SessionText.Parse(text, path);
    }

    /// <summary>Reads the session, lets <paramref name="change"/> make a new one of it, and writes that.</summary>
    /// <returns>The document as written.</returns>
    public static SessionDocument Update(string path, Func<SessionDocument, SessionDocument> change) =>
        Update(path, change, DefaultPatience);

    public static SessionDocument Update(string path, Func<SessionDocument, SessionDocument> change, TimeSpan patience)
    {
        ArgumentNullException.ThrowIfNull(change);
        RequireFile(path);
        // A session reached through a link is changed where it lives; renaming over the link would cut it off.
        path = File.ResolveLinkTarget(path, returnFinalTarget: true)?.FullName ?? path;
        using var held = SessionLock.Take(path, patience);
        var changed = change(Read(path)) with { Modified = DateTimeOffset.UtcNow };
        Write(path, changed, replace: true);
        return changed;
    }

    /// <summary>Writes a session that is not there yet; an existing file is kept unless it may be replaced.</summary>
    public static void Create(string path, SessionDocument document, bool replace = false)
    {
        using var held = SessionLock.Take(path, DefaultPatience);
        Write(path, document, replace);
    }

    private static void Write(string path, SessionDocument document, bool replace)
    {
        SessionRules.Check(document, path);
        using var file = PendingFile.Create(path, replace);
        file.Guard(stream => stream.Write(SessionText.Format(document)));
        file.Complete(forceToDisk: true);
    }

    private static void RequireFile(string path)
    {
        if (!File.Exists(path))
            throw new UnusableInputException("session-missing", Directory.Exists(path)
                ? $"{path}: is a folder; give the session file in it"
                : $"{path}: there is no such session file; write one with 'captureproc start'");
    }
}
