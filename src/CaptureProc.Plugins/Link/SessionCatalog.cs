using CaptureProc.Session.Published;

namespace CaptureProc.Plugins.Link;

/// <summary>All published sessions, kept up to date for the whole process.</summary>
/// <remarks>
/// Thread: <see cref="Entries"/> [any], an immutable list that is replaced as a whole. Look: the shared worker's.
/// A look compares times and sizes only; a file is read when they change, once for all instances. Polling rather than change
/// notifications: those need a descriptor and a thread each, get lost on network folders, and a stat a second costs less.
/// </remarks>
public sealed class SessionCatalog : ISharedWork
{
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(1);

    private readonly string folder;
    private readonly DirectoryInfo folderInfo;
    private readonly List<Watched> watched = [];
    private volatile IReadOnlyList<CatalogEntry> entries = [];
    private long folderTicks = -1;
    private long nextLook;

    public SessionCatalog(string? folder = null)
    {
        this.folder = folder ?? PublishedFolder.Locate();
        folderInfo = new DirectoryInfo(this.folder);
    }

    /// <summary>Sorted by name.</summary>
    public IReadOnlyList<CatalogEntry> Entries => entries;

    public CatalogEntry? Find(string name)
    {
        foreach (var entry in entries)
            if (string.Equals(entry.Name, name, StringComparison.OrdinalIgnoreCase))
                return entry;
        return null;
    }

    public void Look()
    {
        if (Environment.TickCount64 < nextLook)
            return;
        nextLook = Environment.TickCount64 + (long)Interval.TotalMilliseconds;
        Refresh();
    }

    /// <summary>Looks now: once before the first use, and then from the worker. Not from two threads at once.</summary>
    public void Refresh()
    {
        var changed = RefreshFolder();
        foreach (var file in watched)
            changed |= file.Refresh();
        if (!changed)
            return;
        var list = new CatalogEntry[watched.Count];
        for (var i = 0; i < list.Length; i++)
            list[i] = watched[i].Entry;
        entries = list;
    }

    // Notes appear and disappear by rename and delete, which touch the folder's own time.
    private bool RefreshFolder()
    {
        folderInfo.Refresh();
        var ticks = folderInfo.Exists ? folderInfo.LastWriteTimeUtc.Ticks : 0;
        if (ticks == folderTicks)
            return false;
        folderTicks = ticks;
        var published = PublishedSessions.List(folder);
        watched.RemoveAll(w => !published.Any(p => w.Is(p)));
        foreach (var session in published)
            if (!watched.Any(w => w.Is(session)))
                watched.Add(new Watched(session));
        watched.Sort((a, b) => string.Compare(a.Entry.Name, b.Entry.Name, StringComparison.OrdinalIgnoreCase));
        return true;
    }

    private sealed class Watched
    {
        private readonly PublishedSession published;
        private readonly FileInfo file;
        private FileStamp stamp;

        public Watched(PublishedSession published)
        {
            this.published = published;
            file = new FileInfo(published.SessionPath);
            stamp = FileStamp.Of(file);
            Entry = CatalogEntry.Read(published.Name, file);
        }

        public CatalogEntry Entry { get; private set; }

        public bool Is(PublishedSession other) => published == other;

        public bool Refresh()
        {
            var now = FileStamp.Of(file);
            if (now == stamp)
                return false;
            stamp = now;
            Entry = CatalogEntry.Read(published.Name, file);
            return true;
        }
    }
}
