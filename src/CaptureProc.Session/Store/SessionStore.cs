namespace CaptureProc.Session;

/// <summary>The session file on disk: read it, change it, never lose it.</summary>
/// <remarks>
/// Thread: [any]; commands and plug-ins may use one file at once. A change holds a lock while it reads, changes and writes, so two
/// of them follow one another and neither loses its part. The new text is written beside the file, forced to disk and then
/// renamed over it: a reader sees the old file or the new one and never a mixture, and needs no lock for it. What was there before
/// goes to <see cref="EarlierStates"/>, so that every change can be taken back.
/// Errors: <see cref="UnusableInputException"/>; whatever goes wrong, the file is left as it is.
/// </remarks>
public static class SessionStore
{
    // A pipe may have no end. An evening with sixty spots and a hundred changes is a hundredth of this.
    private const int MostBytesOfAPipe = 1 << 24;

    /// <summary>The session as it is now, from a file or from a pipe, which is read to its end.</summary>
    public static SessionDocument Read(string path)
    {
        RequireSomething(path, orPipe: true);
        return SessionText.Parse(FileIdentity.Of(path)?.Kind == FileKind.Pipe ? ReadPipe(path) : ReadText(path), path);
    }

    /// <summary>The same for whoever writes to it later: what cannot be changed is refused before the work and not after it.</summary>
    public static SessionDocument ReadToChange(string path)
    {
        RequireFile(path);
        return SessionText.Parse(ReadText(path), path);
    }

    /// <summary>Reads the session, lets <paramref name="change"/> make a new one of it, and writes that.</summary>
    /// <returns>The document as written.</returns>
    public static SessionDocument Update(string path, Func<SessionDocument, SessionDocument> change) => Update(path, change, SessionWaiting.Usual);

    /// <param name="path">The session.</param>
    /// <param name="change">Makes the new one; what takes long is done before, as others wait meanwhile.</param>
    /// <param name="patience">How long a change waits for another one.</param>
    public static SessionDocument Update(string path, Func<SessionDocument, SessionDocument> change, TimeSpan patience) =>
        Update(path, change, SessionWaiting.For(patience));

    /// <inheritdoc cref="Update(string, Func{SessionDocument, SessionDocument}, TimeSpan)"/>
    public static SessionDocument Update(string path, Func<SessionDocument, SessionDocument> change, SessionWaiting waiting)
    {
        ArgumentNullException.ThrowIfNull(change);
        RequireFile(path);
        // A session reached through a link is changed where it lives; renaming over the link would cut it off.
        path = PendingFile.FollowLink(path);
        using var held = SessionLock.Take(path, waiting);
        var before = ReadText(path);
        var changed = change(SessionText.Parse(before, path)) with { Modified = DateTimeOffset.UtcNow };
        var text = Checked(changed, path);
        EarlierStates.Keep(path, before);
        Write(path, text, replace: true);
        return changed;
    }

    /// <summary>Writes a session that is not there yet; an existing file is kept unless it may be replaced.</summary>
    public static void Create(string path, SessionDocument document, bool replace = false) => Create(path, document, replace, SessionWaiting.Usual);

    /// <inheritdoc cref="Create(string, SessionDocument, bool)"/>
    public static void Create(string path, SessionDocument document, bool replace, SessionWaiting waiting)
    {
        if (replace)
            path = PendingFile.FollowLink(path);
        using var held = SessionLock.Take(path, waiting);
        var text = Checked(document, path);
        if (replace && SessionText.IsSession(path))
            EarlierStates.Keep(path, ReadText(path));
        else if (FileIdentity.Of(path) is null)
            EarlierStates.Forget(path);
        Write(path, text, replace);
    }

    /// <summary>Takes the last change back: the session is again what it was before it, to the letter.</summary>
    /// <returns>What was taken back, and what there is now.</returns>
    public static (SessionDocument Undone, SessionDocument Now) Undo(string path, SessionWaiting waiting)
    {
        RequireFile(path);
        path = PendingFile.FollowLink(path);
        using var held = SessionLock.Take(path, waiting);
        var text = ReadText(path);
        var earlier = EarlierStates.Last(path, text)
            ?? throw new UnusableInputException("nothing-to-undo", $"{path}: there is no earlier state of this session; the last {EarlierStates.Kept} changes are kept beside it");
        var now = SessionText.Parse(earlier, path);
        Write(path, earlier, replace: true);
        EarlierStates.Drop(path, earlier);
        return (SessionText.Parse(text, path), now);
    }

    // What is written can be read again: held against rules and schema as a reader will.
    private static byte[] Checked(SessionDocument document, string path)
    {
        SessionRules.Check(document, path);
        var text = SessionText.Format(document);
        SessionText.Parse(text, path);
        return text;
    }

    private static void Write(string path, byte[] text, bool replace)
    {
        using var file = PendingFile.CreateAnything(path, replace);
        file.Guard(stream => stream.Write(text));
        file.Complete(forceToDisk: true);
    }

    private static byte[] ReadText(string path)
    {
        try
        {
            return SharedFile.ReadAllBytes(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("session-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')}); check the file's permissions", e);
        }
    }

    private static byte[] ReadPipe(string path)
    {
        try
        {
            using var pipe = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, bufferSize: 0);
            using var text = new MemoryStream();
            var part = new byte[1 << 16];
            while (pipe.Read(part) is var count and > 0)
            {
                text.Write(part, 0, count);
                if (text.Length > MostBytesOfAPipe)
                    throw new UnusableInputException("session-unreadable", $"{path}: is a pipe that brings more than any session holds ({MostBytesOfAPipe >> 20} MiB); give the session file");
            }
            return text.ToArray();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new UnusableInputException("session-unreadable", $"{path}: cannot be read ({e.Message.TrimEnd('.')}); give the session file", e);
        }
    }

    private static void RequireFile(string path) => RequireSomething(path, orPipe: false);

    private static void RequireSomething(string path, bool orPipe)
    {
        switch (FileIdentity.Of(path)?.Kind)
        {
            case null:
                throw new UnusableInputException("session-missing", $"{path}: there is no such session file; write one with 'captureproc start'");
            case FileKind.Folder:
                throw new UnusableInputException("session-missing", $"{path}: is a folder; give the session file in it");
            case FileKind.Pipe when orPipe:
                break;
            case FileKind.Device when orPipe:
                throw new UnusableInputException("session-unreadable", $"{path}: is a device and no session; give the session file");
            case FileKind.Pipe or FileKind.Device:
                throw new UnusableInputException("session-unreadable", $"{path}: is a pipe or a device, and a session is changed where it lives; give the session file");
        }
    }
}
