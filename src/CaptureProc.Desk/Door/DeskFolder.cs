using CaptureProc.Session;

namespace CaptureProc.DeskServer.Door;

/// <summary>The folder that the desk was opened for. Nothing outside it is read or written, whatever a name or a link says.</summary>
/// <remarks>Thread: [any]. Names are relative, with slashes, as the page shows them.</remarks>
internal sealed class DeskFolder
{
    private const int DeepestFolder = 3;

    private DeskFolder(string root) => Root = root;

    /// <summary>Full path with every link resolved.</summary>
    public string Root { get; }

    public static DeskFolder Open(string path) => Directory.Exists(path)
        ? new DeskFolder(RealPath(Path.GetFullPath(path)))
        : throw new UnusableInputException("folder-missing", $"{path}: there is no such folder; create it, or give another");

    /// <summary>The full path of a file to be read.</summary>
    public string Existing(string name)
    {
        var path = RealPath(Inside(name));
        if (!IsUnderRoot(path))
            throw Outside(name);
        return File.Exists(path) ? path : throw new UnusableInputException("file-missing", $"{name}: there is no such file in the desk's folder");
    }

    /// <summary>The full path of a file or folder to be written.</summary>
    public string ForOutput(string name)
    {
        var path = Inside(name);
        // Whether or not the file is there yet: a link in its place, or in the way to it, must not lead the writing out.
        if (!IsUnderRoot(RealPath(path)))
            throw Outside(name);
        return path;
    }

    /// <summary>How the page calls a path.</summary>
    public string NameOf(string path) => Path.GetRelativePath(Root, path).Replace('\\', '/');

    /// <summary>Files of the folder and what lies some steps below it, hidden ones and links out of it left out.</summary>
    public IEnumerable<string> Files(params string[] endings) => Directory
        .EnumerateFiles(Root, "*", new EnumerationOptions { RecurseSubdirectories = true, MaxRecursionDepth = DeepestFolder, IgnoreInaccessible = true })
        .Where(path => endings.Any(end => path.EndsWith(end, StringComparison.OrdinalIgnoreCase)) && !NameOf(path).Split('/').Any(part => part.StartsWith('.')))
        .Where(path => IsUnderRoot(RealPath(path)))
        .OrderBy(path => NameOf(path).Count(c => c == '/')).ThenBy(path => path, StringComparer.OrdinalIgnoreCase);

    /// <summary>Session files, told by what stands in them.</summary>
    public IEnumerable<string> Sessions() => Files(".json").Where(IsSession);

    /// <summary>The session of a folder that holds exactly one.</summary>
    public string? OnlySession() => Sessions().Take(2).ToList() is [var only] ? only : null;

    private static bool IsSession(string path)
    {
        try
        {
            Span<byte> head = stackalloc byte[512];
            using var file = File.OpenRead(path);
            return head[..file.ReadAtLeast(head, head.Length, throwOnEndOfStream: false)].IndexOf("\"captureproc-session\""u8) >= 0;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private string Inside(string name)
    {
        if (string.IsNullOrWhiteSpace(name) || name.Length > 1024 || name.Any(c => c < ' ' || c is '\\' or ':') || Path.IsPathRooted(name)
            || name.Split('/').Any(part => part is "" or "." or ".." || part.StartsWith('-')))
            throw Outside(name);
        return Path.Combine(Root, name);
    }

    private bool IsUnderRoot(string path) => path == Root
        || path.StartsWith(Root.EndsWith(Path.DirectorySeparatorChar) ? Root : Root + Path.DirectorySeparatorChar, StringComparison.Ordinal);

    /// <summary>The path with the links of every part resolved, as far as it exists.</summary>
    private static string RealPath(string path)
    {
        var root = Path.GetPathRoot(path)!;
        var real = root;
        foreach (var part in path[root.Length..].Split(Path.DirectorySeparatorChar, StringSplitOptions.RemoveEmptyEntries))
        {
            real = Path.Combine(real, part);
            FileSystemInfo entry = Directory.Exists(real) ? new DirectoryInfo(real) : new FileInfo(real);
            if (entry.LinkTarget is not null)
                real = Target(entry);
        }
        return real;
    }

    private static string Target(FileSystemInfo link)
    {
        try
        {
            return RealPath(Path.GetFullPath(link.ResolveLinkTarget(returnFinalTarget: true)?.FullName ?? link.FullName));
        }
        catch (IOException e)
        {
            throw new UnusableInputException("bad-link", $"{link.Name}: is a link that leads nowhere ({e.Message.TrimEnd('.')})", e);
        }
    }

    private static UnusableInputException Outside(string name) =>
        new("outside-folder", $"'{(name.Length > 200 ? name[..200] + "…" : name)}' does not lie in the folder that this desk was opened for; copy it there, or open the desk with its folder");
}
