namespace CaptureProc.DeskServer.Events;

/// <summary>Tells the pages when the session or the folder changes, whoever changes it.</summary>
/// <remarks>Thread: [any]. Many changes at once are told once: a file that is being written changes a thousand times.</remarks>
internal sealed class FolderWatch : IDisposable
{
    private static readonly TimeSpan Settle = TimeSpan.FromMilliseconds(120);

    private readonly List<FileSystemWatcher> watchers = [];
    private readonly EventFeed feed;
    private readonly Timer timer;
    private volatile string? sessionPath;
    private int isSessionChanged, isFolderChanged;

    public FolderWatch(string folder, string? sessionPath, EventFeed feed)
    {
        this.feed = feed;
        timer = new Timer(_ => Tell());
        Watch(folder, true);
        AlsoWatch(sessionPath);
    }

    /// <summary>The session may live outside the folder, where it was named in the terminal.</summary>
    public void AlsoWatch(string? path)
    {
        sessionPath = path;
        if (path is not null && Path.GetDirectoryName(path) is { } folder && Directory.Exists(folder) && !watchers.Exists(w => IsWithin(folder, w)))
            Watch(folder, false);
    }

    public void Dispose()
    {
        watchers.ForEach(w => w.Dispose());
        timer.Dispose();
    }

    private static bool IsWithin(string folder, FileSystemWatcher watcher) =>
        folder == watcher.Path || (watcher.IncludeSubdirectories && folder.StartsWith(watcher.Path + Path.DirectorySeparatorChar, StringComparison.Ordinal));

    private void Watch(string folder, bool isDeep)
    {
        var watcher = new FileSystemWatcher(folder) { IncludeSubdirectories = isDeep };
        watcher.Changed += (_, e) => Note(e.FullPath);
        watcher.Created += (_, e) => Note(e.FullPath);
        watcher.Deleted += (_, e) => Note(e.FullPath);
        watcher.Renamed += (_, e) => Note(e.FullPath);
        watcher.EnableRaisingEvents = true;
        watchers.Add(watcher);
    }

    private void Note(string path)
    {
        var name = Path.GetFileName(path);
        // Locks and half-written files are how the work is done, not what it makes.
        if (name.StartsWith('.'))
            return;
        if (path == sessionPath)
            Interlocked.Exchange(ref isSessionChanged, 1);
        else
            Interlocked.Exchange(ref isFolderChanged, 1);
        timer.Change(Settle, Timeout.InfiniteTimeSpan);
    }

    private void Tell()
    {
        if (Interlocked.Exchange(ref isSessionChanged, 0) == 1)
            feed.Send("""{"type":"session"}""");
        if (Interlocked.Exchange(ref isFolderChanged, 0) == 1)
            feed.Send("""{"type":"folder"}""");
    }
}
