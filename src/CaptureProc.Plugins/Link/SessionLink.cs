using CaptureProc.Session;

namespace CaptureProc.Plugins.Link;

/// <summary>One plug-in's hold on one published session: which values it plays, and how they stand to the file.</summary>
/// <remarks>
/// Thread: Status and Version [any], a plain read; everything else locks its own gate for moments: [main] and the shared worker.
/// The values in use are a copy. They change when a session is chosen, when <see cref="Follow"/> is on and the file has changed,
/// or when a saved state comes back; a file that is missing, damaged or newer never changes them.
/// </remarks>
public sealed class SessionLink(SessionCatalog catalog)
{
    private readonly Lock gate = new();
    private string name = "";
    private string path = "";
    private string hash = "";
    private SessionDocument? session;
    private bool follow = true;
    private volatile LinkStatus status;
    private int version;

    /// <summary>Grows whenever the values in use become others.</summary>
    public int Version => Volatile.Read(ref version);

    /// <summary>The values in use; null where none have been chosen.</summary>
    public SessionDocument? Session
    {
        get { lock (gate) return session; }
    }

    /// <summary>The name of the chosen session, empty for none.</summary>
    public string Name
    {
        get { lock (gate) return name; }
    }

    public LinkStatus Status => status;

    /// <summary>On: a new version of the file is taken over at the next look. Turning it on takes over what has changed meanwhile.</summary>
    public bool Follow
    {
        get { lock (gate) return follow; }
        set
        {
            lock (gate)
                follow = value;
        }
    }

    /// <summary>Chooses a published session and takes its values now; an empty name lets go of it.</summary>
    public void Choose(string chosen)
    {
        lock (gate)
        {
            if (string.Equals(chosen, name, StringComparison.OrdinalIgnoreCase) && session is not null)
                return;
            (name, path, hash, session) = (chosen, "", "", null);
            version++;
            if (name.Length == 0)
            {
                status = LinkStatus.NoSession;
                return;
            }
            Compare(takeOver: true);
        }
    }

    /// <summary>Compares with the catalogue and takes over what may be taken over. Thread: the shared worker's.</summary>
    public void Look()
    {
        lock (gate)
        {
            if (name.Length > 0)
                Compare(takeOver: follow);
        }
    }

    /// <summary>The link as it goes into a host's project.</summary>
    public SavedLink Save()
    {
        lock (gate)
            return new SavedLink(name, path, hash, session);
    }

    /// <summary>Plays exactly what was saved, then says how the file stands to it.</summary>
    public void Restore(SavedLink saved)
    {
        lock (gate)
        {
            (name, path, hash, session) = (saved.Name, saved.Path, saved.ContentHash, saved.Session);
            version++;
            status = name.Length == 0 ? LinkStatus.NoSession : LinkStatus.Missing;
            if (name.Length > 0)
                Compare(takeOver: false);
        }
    }

    private void Compare(bool takeOver)
    {
        var entry = catalog.Find(name);
        if (entry is null)
        {
            status = LinkStatus.Missing;
            return;
        }
        if (entry.Session is null)
        {
            status = entry.Status;
            return;
        }
        if (entry.ContentHash == hash)
        {
            status = LinkStatus.InStep;
        }
        else if (takeOver || session is null)
        {
            (path, hash, session) = (entry.Path, entry.ContentHash, entry.Session);
            status = LinkStatus.InStep;
            version++;
        }
        else
        {
            status = LinkStatus.Changed;
        }
    }
}
