using CaptureProc.DeskServer.Door;
using CaptureProc.DeskServer.Events;
using CaptureProc.DeskServer.Jobs;
using CaptureProc.DeskServer.Views;
using CaptureProc.DeskServer.Waves;
using CaptureProc.Session;

namespace CaptureProc.DeskServer;

/// <summary>Everything that the routes share: the folder, the session that lies on the desk, what runs and who looks on.</summary>
/// <remarks>Thread: [any].</remarks>
internal sealed class Desktop : IDisposable
{
    private readonly FolderWatch watch;
    private volatile string? sessionPath;

    public Desktop(DeskFolder folder, DeskOptions options, EventFeed feed, JobBoard jobs, OverviewShelf overviews, PartsShelf parts)
    {
        (Folder, Feed, Jobs, Overviews, Parts) = (folder, feed, jobs, overviews, parts);
        sessionPath = options.SessionPath is { } path ? Path.GetFullPath(path) : folder.OnlySession();
        watch = new FolderWatch(folder.Root, sessionPath, feed);
    }

    public DeskFolder Folder { get; }

    public EventFeed Feed { get; }

    public JobBoard Jobs { get; }

    public OverviewShelf Overviews { get; }

    public PartsShelf Parts { get; }

    /// <summary>Full path of the session file; null while none is chosen.</summary>
    public string? SessionPath
    {
        get => sessionPath;
        set
        {
            sessionPath = value;
            watch.AlsoWatch(value);
            Feed.Send("""{"type":"session"}""");
        }
    }

    public string RequireSession() => sessionPath
        ?? throw new UnusableInputException("no-session", "no session is open; choose one, or start one on the page Rig");

    public SessionDocument ReadSession() => SessionStore.Read(RequireSession());

    public void Dispose()
    {
        watch.Dispose();
        Jobs.StopAll();
        Feed.Close();
        Parts.Dispose();
    }
}
