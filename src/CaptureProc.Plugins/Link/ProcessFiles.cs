using CaptureProc.Plugins.Work;

namespace CaptureProc.Plugins.Link;

/// <summary>A catalogue that all instances of a process share, as long as there is an instance, and the workers that serve it.</summary>
/// <remarks>
/// Thread: [main]. Nothing here waits for a disk: the first instance has the folder read by the worker of files, and what is
/// in it is offered as soon as it has been read. With the last instance the catalogue leaves the worker, and its thread ends.
/// </remarks>
public sealed class ProcessFiles<TCatalog, TEntry>(SharedWorker designs, SharedWorker files, Func<TCatalog> createCatalog)
    where TCatalog : FileCatalog<TEntry>
    where TEntry : class
{
    // A local disk answers within milliseconds and a network folder within a second, or it is not there.
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(3);

    private readonly Lock gate = new();
    private TCatalog? catalog;
    private IDisposable? watch;
    private int users;

    /// <summary>Designs.</summary>
    public SharedWorker Worker => designs;

    /// <summary>Reads and writes files.</summary>
    public SharedWorker Files => files;

    /// <summary>The catalogue, to be given back by <see cref="Leave"/>.</summary>
    public TCatalog Enter()
    {
        lock (gate)
        {
            users++;
            if (catalog is null)
            {
                catalog = createCatalog();
                catalog.Start(files);
                watch = designs.Register(new Relief(files));
            }
            return catalog;
        }
    }

    public void Leave()
    {
        lock (gate)
        {
            if (--users > 0)
                return;
            watch?.Dispose();
            catalog?.Stop();
            (watch, catalog) = (null, null);
        }
    }

    private sealed class Relief(SharedWorker files) : ISharedWork
    {
        public void Look() => files.Relieve(Patience);
    }
}
