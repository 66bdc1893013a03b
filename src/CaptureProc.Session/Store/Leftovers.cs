using System.Collections.Concurrent;

namespace CaptureProc.Session;

/// <summary>What a process would leave behind if it ended now, and what earlier ones have left.</summary>
/// <remarks>
/// Thread: [any]. Files and folders on the way carry the name of what they will be, so that the next run of the same output finds
/// those of a run that was killed: nobody holds them open any more.
/// </remarks>
public static class Leftovers
{
    private const string ScratchEnd = ".scratch", PartEnd = ".part";
    private const int IdDigits = 32;

    private static readonly ConcurrentDictionary<string, bool> Mine = new();
    private static readonly Lock Gate = new();
    private static bool isClosed;

    /// <summary>A new name beside a path for something on the way to it.</summary>
    /// <param name="path">Where it will stand in the end.</param>
    /// <param name="kind"><c>part</c> for a file, <c>scratch</c> for a folder.</param>
    public static string NameBeside(string path, string kind)
    {
        var full = Path.GetFullPath(path);
        return Path.Combine(Path.GetDirectoryName(full) ?? ".", $".{Path.GetFileName(full)}.{Guid.NewGuid():N}.{kind}");
    }

    /// <summary>Removes what runs of the same output have left and nobody holds.</summary>
    public static void Sweep(string path)
    {
        var full = Path.GetFullPath(path);
        SweepFolder(Path.GetDirectoryName(full) ?? ".", $".{Path.GetFileName(full)}.");
    }

    /// <summary>The same for everything on the way in a folder.</summary>
    /// <param name="folder">The folder.</param>
    /// <param name="beginning">What the names begin with.</param>
    public static void SweepFolder(string folder, string beginning = ".")
    {
        if (!Directory.Exists(folder))
            return;
        foreach (var path in Directory.EnumerateFileSystemEntries(folder, ".*"))
            if (Path.GetFileName(path) is var name && name.StartsWith(beginning, StringComparison.Ordinal) && IsOnTheWay(name) && !Mine.ContainsKey(path))
                RemoveIfFree(path);
    }

    /// <summary>Makes something that has to be gone if it is not finished; waits for ever once the process is ending.</summary>
    public static T Make<T>(string path, Func<T> make)
    {
        ArgumentNullException.ThrowIfNull(make);
        return Step(() =>
        {
            var made = make();
            Mine[path] = true;
            return made;
        });
    }

    /// <summary>A step that is done whole or not at all when the process is broken off: moving finished files to their places.</summary>
    public static void Step(Action step) => Step(() =>
    {
        step();
        return true;
    });

    /// <summary>It has been finished or removed.</summary>
    /// <returns>Whether it was there.</returns>
    public static bool Settle(string path) => Mine.TryRemove(path, out _);

    /// <summary>Removes everything unfinished, for good: the process is about to end, and nothing can be begun any more.</summary>
    public static void DiscardAll()
    {
        lock (Gate)
        {
            isClosed = true;
            foreach (var path in Mine.Keys.OrderByDescending(p => p.Length))
                Remove(path);
        }
    }

    private static T Step<T>(Func<T> step)
    {
        lock (Gate)
        {
            if (!isClosed)
                return step();
        }
        Thread.Sleep(Timeout.Infinite);
        throw new OperationCanceledException();
    }

    private static void Remove(string path)
    {
        // A folder that others have put something into stays.
        if (!Directory.Exists(path))
            File.Delete(path);
        else if (path.EndsWith(ScratchEnd, StringComparison.Ordinal) || !Directory.EnumerateFileSystemEntries(path).Any())
            Directory.Delete(path, recursive: true);
    }

    /// <summary>The file in a scratch folder that its owner holds open.</summary>
    public const string OwnerFile = "owner";

    private static void RemoveIfFree(string path)
    {
        var held = Directory.Exists(path) ? Path.Combine(path, OwnerFile) : path;
        try
        {
            // Its owner holds it shared; a handle for one alone is only given where there is no owner.
            using (new FileStream(held, FileMode.Open, FileAccess.ReadWrite, FileShare.None))
            {
            }
            Remove(path);
        }
        catch (FileNotFoundException) when (Directory.Exists(path))
        {
            Remove(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Held by a run that goes on, gone already, or not ours to remove: it stays.
        }
    }

    private static readonly System.Buffers.SearchValues<char> HexadecimalDigits = System.Buffers.SearchValues.Create("0123456789abcdef");

    // A name that NameBeside has made: .NAME.(32 hexadecimal digits).part or .scratch.
    private static bool IsOnTheWay(ReadOnlySpan<char> name)
    {
        var end = name.EndsWith(ScratchEnd, StringComparison.Ordinal) ? ScratchEnd : name.EndsWith(PartEnd, StringComparison.Ordinal) ? PartEnd : null;
        if (end is null || name.Length <= IdDigits + 1 + end.Length)
            return false;
        var rest = name[..^end.Length];
        return rest[^(IdDigits + 1)] == '.' && !rest[^IdDigits..].ContainsAnyExcept(HexadecimalDigits);
    }
}
