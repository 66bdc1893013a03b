using System.Collections.Concurrent;

namespace CaptureProc.Session;

/// <summary>A file that comes into being whole or not at all: written beside its place and renamed when complete.</summary>
/// <remarks>
/// Thread: one writer; <see cref="DiscardAll"/> from any. Disposed without <see cref="Complete"/>, it leaves nothing behind, and
/// what stood at the place before stays untouched. Errors: <see cref="UnusableInputException"/> that says what to do.
/// </remarks>
public sealed class PendingFile : IDisposable
{
    private static readonly ConcurrentDictionary<string, PendingFile> Unfinished = new();

    private readonly bool replace;
    private readonly string partPath;
    private bool isHandedOver;

    private PendingFile(string path, string partPath, FileStream stream, bool replace)
    {
        (Path, this.partPath, Stream, this.replace) = (path, partPath, stream, replace);
        Unfinished[partPath] = this;
    }

    /// <summary>Where the file will stand.</summary>
    public string Path { get; }

    public FileStream Stream { get; }

    /// <param name="path">Where the file will stand; its folder has to exist.</param>
    /// <param name="replace">Whether a file that stands there may be replaced.</param>
    /// <param name="bufferBytes">The stream's buffer; 0 for writers that come with large blocks anyway.</param>
    public static PendingFile Create(string path, bool replace, int bufferBytes = 4096)
    {
        if (Directory.Exists(path))
            throw new UnusableInputException("output-is-folder", $"{path}: is a folder; give the name of a file");
        if (!replace && File.Exists(path))
            throw Exists(path);
        var folder = System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(path));
        if (!Directory.Exists(folder))
            throw NoFolder(path);
        var partPath = System.IO.Path.Combine(folder, $".{System.IO.Path.GetFileName(path)}.{Guid.NewGuid():N}.part");
        try
        {
            var stream = new FileStream(partPath, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.Read, bufferBytes);
            return new PendingFile(path, partPath, stream, replace);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Refused(path, e);
        }
    }

    /// <summary>Runs one step of writing and turns a full or failing disk into a clear error.</summary>
    public void Guard(Action<FileStream> step)
    {
        ArgumentNullException.ThrowIfNull(step);
        try
        {
            step(Stream);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Refused(Path, e);
        }
    }

    /// <summary>Closes the stream and names the file beside, for another program to write.</summary>
    public string HandOver()
    {
        isHandedOver = true;
        Stream.Dispose();
        return partPath;
    }

    /// <summary>Moves the finished file to its place.</summary>
    /// <param name="forceToDisk">Waits until the disk holds it, so that a power cut cannot leave an empty file under the name.</param>
    public void Complete(bool forceToDisk = false)
    {
        Guard(stream =>
        {
            if (!isHandedOver)
            {
                stream.Flush(forceToDisk);
                stream.Dispose();
            }
            if (replace && !OperatingSystem.IsWindows() && File.Exists(Path))
                File.SetUnixFileMode(partPath, File.GetUnixFileMode(Path));
            if (!replace && File.Exists(Path))
                throw Exists(Path);
            File.Move(partPath, Path, replace);
        });
        Unfinished.TryRemove(partPath, out _);
    }

    public void Dispose()
    {
        if (!Unfinished.TryRemove(partPath, out _))
            return;
        try
        {
            Stream.Dispose();
        }
        catch (IOException)
        {
            // The last buffer of a full disk; the file goes anyway, and whoever wrote has had the error already.
        }
        File.Delete(partPath);
    }

    /// <summary>Removes every unfinished file of this process: for the moment when the person at the desk breaks off.</summary>
    public static void DiscardAll()
    {
        foreach (var partPath in Unfinished.Keys)
            File.Delete(partPath);
    }

    internal static UnusableInputException NoFolder(string path) =>
        new("output-folder-missing", $"{path}: its folder does not exist; create it first");

    private static UnusableInputException Exists(string path) =>
        new("output-exists", $"{path}: exists already; give another name, or --replace to replace it");

    private static UnusableInputException Refused(string path, Exception e)
    {
        // ENOSPC and EDQUOT on Linux (28, 122), their like on macOS (28, 69), ERROR_DISK_FULL and ERROR_HANDLE_DISK_FULL on Windows.
        var isFull = e is IOException && (e.HResult & 0xFFFF) is 28 or 122 or 69 or 112 or 39;
        return isFull
            ? new UnusableInputException("disk-full", $"{path}: the disk is full; nothing was kept of the new file; make room and try again", e)
            : new UnusableInputException("output-refused", $"{path}: cannot be written ({e.Message.TrimEnd('.')})", e);
    }
}
