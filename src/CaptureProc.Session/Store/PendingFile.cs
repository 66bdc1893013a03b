namespace CaptureProc.Session;

/// <summary>A file that comes into being whole or not at all: written beside its place and renamed when complete.</summary>
/// <remarks>
/// Thread: one writer. Disposed without <see cref="Complete"/>, it leaves nothing behind, and what stood at the place before stays
/// untouched; what a killed run has left of the same output is removed. A place that is a link is written where it leads.
/// Errors: <see cref="UnusableInputException"/> that says what to do.
/// </remarks>
public sealed class PendingFile : IDisposable
{
    // Between making a file and holding it somebody's sweep may take it for a leftover; the next name does.
    private const int Attempts = 3;

    private readonly bool replace;
    private readonly string target;
    private readonly string partPath;
    private bool isHandedOver;

    private PendingFile(string path, string target, string partPath, FileStream stream, bool replace) =>
        (Path, this.target, this.partPath, Stream, this.replace) = (path, target, partPath, stream, replace);

    /// <summary>Where the file will stand.</summary>
    public string Path { get; }

    public FileStream Stream { get; }

    /// <param name="path">Where the file will stand; its folder has to exist.</param>
    /// <param name="replace">Whether a file that stands there may be replaced. A session, a device or a pipe never is.</param>
    /// <param name="bufferBytes">The stream's buffer; 0 for writers that come with large blocks anyway.</param>
    public static PendingFile Create(string path, bool replace, int bufferBytes = 4096)
    {
        if (replace && SessionText.IsSession(path))
            throw new UnusableInputException("output-is-session", $"{path}: is a session, which is never replaced by anything else; give another name");
        return CreateAnything(path, replace, bufferBytes);
    }

    /// <summary>The same where a session may be replaced: by a session.</summary>
    internal static PendingFile CreateAnything(string path, bool replace, int bufferBytes = 4096)
    {
        if (OperatingSystem.IsWindows() && WindowsNames.Problem(path) is { } problem)
            throw new UnusableInputException("output-name", $"{path}: cannot be the name of a file ({problem}); give another name");
        switch (FileIdentity.Of(path)?.Kind)
        {
            case FileKind.Folder:
                throw new UnusableInputException("output-is-folder", $"{path}: is a folder; give the name of a file");
            case FileKind.Device or FileKind.Pipe:
                throw new UnusableInputException("output-is-device", $"{path}: is a device or a pipe, and files are written beside their place first; give the name of a file");
            case FileKind.File when !replace:
                throw Exists(path);
        }
        var target = FollowLink(path);
        if (!Directory.Exists(System.IO.Path.GetDirectoryName(target)))
            throw NoFolder(path);
        Leftovers.Sweep(target);
        for (var attempt = 1; ; attempt++)
        {
            var partPath = Leftovers.NameBeside(target, "part");
            try
            {
                var stream = Leftovers.Make(partPath, () => new FileStream(partPath, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.Read, bufferBytes));
                return new PendingFile(path, target, partPath, stream, replace);
            }
            catch (IOException e) when (attempt < Attempts && SessionLock.IsHeldByAnother(e))
            {
                File.Delete(partPath);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                throw Refused(path, e);
            }
        }
    }

    /// <summary>Refuses an output that is one of the files being read, by whatever names and links.</summary>
    /// <param name="path">The output.</param>
    /// <param name="inputs">What is read.</param>
    public static void RequireOther(string path, params IEnumerable<string> inputs)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        if (FileIdentity.Of(path) is not { } output)
            return;
        foreach (var input in inputs)
            if (FileIdentity.Of(input) == output)
                throw new UnusableInputException("output-is-input", string.Equals(path, input, StringComparison.Ordinal)
                    ? $"{path}: is the file that is read; give the output another name"
                    : $"{path}: is the same file as {input}, which is read; give the output another name");
    }

    /// <summary>A path with its last links followed, wherever they lead.</summary>
    internal static string FollowLink(string path)
    {
        var full = System.IO.Path.GetFullPath(path);
        try
        {
            return new FileInfo(full).LinkTarget is null ? full : File.ResolveLinkTarget(full, returnFinalTarget: true)?.FullName ?? full;
        }
        catch (IOException e)
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

    /// <summary>Names the file beside, for another program to write; the stream is not used any more.</summary>
    public string HandOver()
    {
        isHandedOver = true;
        // Held open, it says that it has an owner. Windows would then let nobody else write.
        if (OperatingSystem.IsWindows())
            Stream.Dispose();
        return partPath;
    }

    /// <summary>Moves the finished file to its place.</summary>
    /// <param name="forceToDisk">Waits until the disk holds it, so that a power cut cannot leave an empty file under the name.</param>
    public void Complete(bool forceToDisk = false)
    {
        Close(forceToDisk);
        Leftovers.Step(Move);
    }

    /// <summary>Moves finished files to their places together: broken off, there are all of them or none.</summary>
    public static void CompleteAll(IReadOnlyCollection<PendingFile> files)
    {
        ArgumentNullException.ThrowIfNull(files);
        foreach (var file in files)
            file.Close(forceToDisk: false);
        Leftovers.Step(() =>
        {
            foreach (var file in files)
                file.RequireFree();
            foreach (var file in files)
                file.Move();
        });
    }

    public void Dispose()
    {
        if (!Leftovers.Settle(partPath))
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

    internal static UnusableInputException NoFolder(string path) =>
        new("output-folder-missing", $"{path}: its folder does not exist; create it first");

    private void Close(bool forceToDisk) => Guard(stream =>
    {
        if (!isHandedOver)
            stream.Flush(forceToDisk);
        stream.Dispose();
    });

    private void RequireFree()
    {
        if (!replace && File.Exists(target))
            throw Exists(Path);
    }

    private void Move()
    {
        Guard(_ =>
        {
            if (replace && !OperatingSystem.IsWindows() && File.Exists(target))
                File.SetUnixFileMode(partPath, File.GetUnixFileMode(target));
            RequireFree();
            PatientRename.Move(partPath, target, replace);
        });
        Leftovers.Settle(partPath);
    }

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
