using System.Diagnostics;

namespace CaptureProc.Session;

/// <summary>The right to change one session file, held by one command at a time.</summary>
/// <remarks>
/// An empty file beside the session, opened for one owner only; the system frees it when the owner ends, even by a crash. It is
/// a file of its own because the session itself is replaced by a rename, and a lock on a replaced file protects nobody.
/// It stays behind on purpose: deleting a lock that somebody else may just be opening lets two owners in.
/// </remarks>
internal sealed class SessionLock : IDisposable
{
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(20);

    private readonly FileStream stream;

    private SessionLock(FileStream stream) => this.stream = stream;

    public static string PathFor(string sessionPath)
    {
        var full = Path.GetFullPath(sessionPath);
        return Path.Combine(Path.GetDirectoryName(full) ?? ".", $".{Path.GetFileName(full)}.lock");
    }

    public static SessionLock Take(string sessionPath, TimeSpan patience)
    {
        var lockPath = PathFor(sessionPath);
        if (!Directory.Exists(Path.GetDirectoryName(lockPath)))
            throw PendingFile.NoFolder(sessionPath);
        var waited = Stopwatch.StartNew();
        while (true)
        {
            try
            {
                return new SessionLock(new FileStream(lockPath, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None));
            }
            catch (IOException e) when (IsHeldByAnother(e))
            {
                if (waited.Elapsed > patience)
                    throw new UnusableInputException("session-busy",
                        $"{sessionPath}: is being written by another command; wait until it has finished and try again", e);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw new UnusableInputException("output-refused",
                    $"{sessionPath}: its folder cannot be written to ({e.Message.TrimEnd('.')}); check permissions and disk", e);
            }
            Thread.Sleep(Pause);
        }
    }

    // EWOULDBLOCK on Linux and macOS (11, 35), ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION on Windows (32, 33).
    private static bool IsHeldByAnother(IOException e) => (e.HResult & 0xFFFF) is 11 or 35 or 32 or 33;

    public void Dispose() => stream.Dispose();
}
