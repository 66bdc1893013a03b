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
            catch (UnauthorizedAccessException e)
            {
                throw new UnusableInputException("output-refused",
                    $"{sessionPath}: its folder may not be written to; check the permissions", e);
            }
            catch (IOException e)
            {
                // Held by somebody else looks like any other I/O error on some systems; a short patience covers both.
                if (waited.Elapsed > patience)
                    throw new UnusableInputException("session-busy",
                        $"{sessionPath}: is being written by another command; wait until it has finished and try again", e);
            }
            Thread.Sleep(Pause);
        }
    }

    public void Dispose() => stream.Dispose();
}
