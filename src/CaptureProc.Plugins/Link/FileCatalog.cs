using CaptureProc.Plugins.Work;

namespace CaptureProc.Plugins.Link;

/// <summary>What a folder offers by name, each read from a file of its own, kept up to date for the whole process.</summary>
/// <remarks>
/// Thread: <see cref="Entries"/> [any], an immutable list that is replaced as a whole; Start and Stop [main]; the rest the worker of files.
/// A look compares times and sizes only; a file is read when they change, once for all instances. Polling rather than change
/// notifications: those need a descriptor and a thread each, get lost on network folders, and a stat a second costs less.
/// Each file is a work of its own, so that one which does not answer holds up no other; it is offered as soon as it has
/// been read, and when it is given up it counts as missing until it answers.
/// </remarks>
public abstract class FileCatalog<TEntry> : ISharedWork
    where TEntry : class
{
    private static readonly TimeSpan Interval = TimeSpan.FromSeconds(1);

    private readonly Lock gate = new();
    private readonly DirectoryInfo folder;
    private readonly List<Watched> files = [];
    private volatile IReadOnlyList<TEntry> entries = [];
    private SharedWorker? worker;
    private IDisposable? atWork;
    private long folderTicks = -1;
    private long nextLook;

    protected FileCatalog(string folder) => this.folder = new DirectoryInfo(folder);

    /// <summary>Sorted by name.</summary>
    public IReadOnlyList<TEntry> Entries => entries;

    public TEntry? Find(string name)
    {
        foreach (var entry in entries)
            if (string.Equals(NameOf(entry), name, StringComparison.OrdinalIgnoreCase))
                return entry;
        return null;
    }

    /// <summary>Has a worker look after it.</summary>
    public void Start(SharedWorker files)
    {
        atWork = files.Register(this);
        lock (gate)
        {
            worker = files;
            this.files.ForEach(file => file.AtWork ??= files.Register(file));
        }
    }

    public void Stop()
    {
        atWork?.Dispose();
        lock (gate)
        {
            worker = null;
            foreach (var file in files)
            {
                file.AtWork?.Dispose();
                file.AtWork = null;
            }
        }
    }

    public void Look()
    {
        if (Environment.TickCount64 < nextLook)
            return;
        nextLook = Environment.TickCount64 + (long)Interval.TotalMilliseconds;
        RefreshFolder();
    }

    /// <summary>Looks at everything now; where no worker is at it.</summary>
    public void Refresh()
    {
        RefreshFolder();
        foreach (var file in files.ToArray())
            file.Refresh();
    }

    /// <summary>Name and path of everything on offer.</summary>
    protected abstract IReadOnlyList<(string Name, string Path)> List();

    /// <summary>Reads one file; whatever is wrong with it is in the entry, or null leaves it out.</summary>
    protected abstract TEntry? Read(string name, FileInfo file);

    /// <summary>What stands for a file that does not answer; null leaves it out.</summary>
    protected abstract TEntry? Unanswered(string name, string path);

    protected abstract string NameOf(TEntry entry);

    // Entries appear and disappear by rename and delete, which touch the folder's own time.
    private void RefreshFolder()
    {
        folder.Refresh();
        var ticks = folder.Exists ? folder.LastWriteTimeUtc.Ticks : 0;
        if (ticks == folderTicks)
            return;
        folderTicks = ticks;
        var listed = List();
        lock (gate)
        {
            foreach (var gone in files.FindAll(f => !listed.Contains((f.Name, f.Path))))
            {
                gone.AtWork?.Dispose();
                files.Remove(gone);
            }
            foreach (var (name, path) in listed)
            {
                if (files.Exists(f => (f.Name, f.Path) == (name, path)))
                    continue;
                var file = new Watched(this, name, path);
                files.Add(file);
                file.AtWork = worker?.Register(file);
            }
            files.Sort((a, b) => string.Compare(a.Name, b.Name, StringComparison.OrdinalIgnoreCase));
        }
        Publish();
        worker?.Nudge();
    }

    private void Publish()
    {
        lock (gate)
            entries = [.. files.Select(f => f.Entry).OfType<TEntry>()];
    }

    private sealed class Watched(FileCatalog<TEntry> catalog, string name, string path) : ISharedWork
    {
        private readonly FileInfo file = new(path);
        private FileStamp stamp;
        private long nextLook;
        private volatile bool isUnread = true;

        public string Name => name;

        public string Path => path;

        public volatile TEntry? Entry;

        public IDisposable? AtWork { get; set; }

        public void Look()
        {
            if (Environment.TickCount64 < nextLook)
                return;
            nextLook = Environment.TickCount64 + (long)Interval.TotalMilliseconds;
            Refresh();
        }

        public void Refresh()
        {
            var now = FileStamp.Of(file);
            if (now == stamp && !isUnread)
                return;
            isUnread = false;
            Entry = catalog.Read(name, file);
            stamp = now;
            catalog.Publish();
        }

        public void GivenUp()
        {
            // Once it answers, it is read like a new one.
            isUnread = true;
            Entry = catalog.Unanswered(name, path);
            catalog.Publish();
        }
    }
}
