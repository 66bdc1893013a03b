using System.Diagnostics;

namespace CaptureProc.Session;

/// <summary>How a change waits for another one.</summary>
/// <param name="Patience">How long. Whoever has something to lose waits longer.</param>
/// <param name="Who">What others are told while they wait for this change.</param>
/// <param name="Say">Told, once, for whom it waits; null for nobody.</param>
public sealed record SessionWaiting(TimeSpan Patience, string Who, Action<string>? Say = null)
{
    /// <summary>A change takes milliseconds, so seconds mean that something is stuck.</summary>
    public static SessionWaiting Usual { get; } = For(TimeSpan.FromSeconds(5));

    public static SessionWaiting For(TimeSpan patience) => new(patience, $"process {Environment.ProcessId}");
}

/// <summary>The right to change one session file, held by one command at a time.</summary>
/// <remarks>
/// A file beside the session, opened for one owner only; the system frees it when the owner ends, even by a crash. It is a file of
/// its own because the session itself is replaced by a rename, and a lock on a replaced file protects nobody. The owner removes it
/// before letting go, and whoever gets hold of a file that has lost its name opens the next one, so two never hold it. A second
/// file says who the owner is.
/// </remarks>
internal sealed class SessionLock : IDisposable
{
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(20);
    private static readonly TimeSpan SilentWait = TimeSpan.FromSeconds(1);

    private readonly FileStream stream;
    private readonly string path;

    private SessionLock(FileStream stream, string path) => (this.stream, this.path) = (stream, path);

    public static string PathFor(string sessionPath)
    {
        var full = Path.GetFullPath(sessionPath);
        return Path.Combine(Path.GetDirectoryName(full) ?? ".", $".{Path.GetFileName(full)}.lock");
    }

    public static SessionLock Take(string sessionPath, SessionWaiting waiting)
    {
        var path = PathFor(sessionPath);
        if (!Directory.Exists(Path.GetDirectoryName(path)))
            throw PendingFile.NoFolder(sessionPath);
        var waited = Stopwatch.StartNew();
        var isSaid = false;
        while (true)
        {
            try
            {
                if (TryTake(path, waiting.Who) is { } held)
                    return held;
            }
            catch (IOException e) when (IsHeldByAnother(e))
            {
                if (waited.Elapsed > waiting.Patience)
                    throw new UnusableInputException("session-busy",
                        $"{sessionPath}: is being written by another command ({OwnerOf(path)}) for {waited.Elapsed.TotalSeconds:0} s; wait until it has finished and try again", e);
                if (!isSaid && waited.Elapsed > SilentWait)
                {
                    waiting.Say?.Invoke($"waiting for {OwnerOf(path)}, which is changing {sessionPath}");
                    isSaid = true;
                }
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw new UnusableInputException("output-refused",
                    $"{sessionPath}: its folder cannot be written to ({e.Message.TrimEnd('.')}); check permissions and disk", e);
            }
            Thread.Sleep(Pause);
        }
    }

    public void Dispose()
    {
        File.Delete(OwnerPath(path));
        // While it is still held: nobody can open it between losing the name and being let go. Where identities are not known it stays.
        if (OperatingSystem.IsLinux())
            File.Delete(path);
        Leftovers.Settle(path);
        Leftovers.Settle(OwnerPath(path));
        stream.Dispose();
    }

    // EWOULDBLOCK on Linux and macOS (11, 35), ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION on Windows (32, 33).
    internal static bool IsHeldByAnother(IOException e) => (e.HResult & 0xFFFF) is 11 or 35 or 32 or 33;

    // Null where the owner before has taken the name away from the file that was just opened.
    private static SessionLock? TryTake(string path, string who)
    {
        var stream = new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        if (OperatingSystem.IsLinux() && FileIdentity.Of(stream.SafeFileHandle) != FileIdentity.Of(path))
        {
            stream.Dispose();
            return null;
        }
        Leftovers.Make(path, () => true);
        Leftovers.Make(OwnerPath(path), () =>
        {
            File.WriteAllText(OwnerPath(path), who);
            return true;
        });
        return new SessionLock(stream, path);
    }

    private static string OwnerPath(string lockPath) => $"{lockPath}.by";

    private static string OwnerOf(string lockPath)
    {
        try
        {
            return File.ReadAllText(OwnerPath(lockPath)) is { Length: > 0 } who ? who : "another command";
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // It is just being written, or gone with its owner.
            return "another command";
        }
    }
}
