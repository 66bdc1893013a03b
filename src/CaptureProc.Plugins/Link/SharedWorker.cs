namespace CaptureProc.Plugins.Link;

/// <summary>Something that wants to be looked at now and then, off the audio thread.</summary>
public interface ISharedWork
{
    /// <summary>One short look. Thread: the shared worker's; may allocate and read files; must not throw.</summary>
    void Look();
}

/// <summary>The one thread of our own in a host's process: it sleeps, and looks at every registered work some times a second.</summary>
/// <remarks>
/// Thread: Register and Dispose of what it returns are [main]; they wait at most for the look that is under way.
/// An audio thread wakes nobody: it leaves a flag that the next look finds. Waking a thread may lock, a flag cannot.
/// The thread lives while there is work, so a host that holds no instance has no thread of ours.
/// </remarks>
public sealed class SharedWorker
{
    // A new trim or radius is heard within this time plus the crossfade; ten looks a second cost nothing measurable.
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    private readonly Lock gate = new();
    private readonly List<ISharedWork> works = [];
    private Thread? thread;

    public static SharedWorker OfProcess { get; } = new();

    /// <summary>Adds work until the returned handle is disposed.</summary>
    public IDisposable Register(ISharedWork work)
    {
        lock (gate)
        {
            works.Add(work);
            if (thread is null)
            {
                thread = new Thread(Run) { IsBackground = true, Name = "CaptureProc worker", Priority = ThreadPriority.BelowNormal };
                thread.Start();
            }
        }
        return new Registration(this, work);
    }

    private void Run()
    {
        while (true)
        {
            lock (gate)
            {
                if (works.Count == 0)
                {
                    thread = null;
                    return;
                }
                for (var i = 0; i < works.Count; i++)
                    works[i].Look();
            }
            Thread.Sleep(Pause);
        }
    }

    private void Remove(ISharedWork work)
    {
        lock (gate)
            works.Remove(work);
    }

    private sealed class Registration(SharedWorker worker, ISharedWork work) : IDisposable
    {
        public void Dispose() => worker.Remove(work);
    }
}
