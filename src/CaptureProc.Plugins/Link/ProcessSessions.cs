namespace CaptureProc.Plugins.Link;

/// <summary>The published sessions and the worker that all instances of a process share, as long as there is an instance.</summary>
/// <remarks>
/// Thread: [main]. The first instance reads the folder once before it returns, so that the names are there when a host asks for
/// them; with the last one the catalogue leaves the worker, and its thread ends.
/// </remarks>
public sealed class ProcessSessions(SharedWorker worker, Func<SessionCatalog> createCatalog)
{
    private readonly Lock gate = new();
    private SessionCatalog? catalog;
    private IDisposable? atWork;
    private int users;

    public static ProcessSessions OfProcess { get; } = new(SharedWorker.OfProcess, () => new SessionCatalog());

    public SharedWorker Worker => worker;

    /// <summary>The catalogue, to be given back by <see cref="Leave"/>.</summary>
    public SessionCatalog Enter()
    {
        lock (gate)
        {
            users++;
            if (catalog is null)
            {
                catalog = createCatalog();
                catalog.Refresh();
                atWork = worker.Register(catalog);
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
            atWork?.Dispose();
            (atWork, catalog) = (null, null);
        }
    }
}
