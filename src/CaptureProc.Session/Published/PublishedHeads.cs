using System.Buffers;

namespace CaptureProc.Session.Published;

/// <summary>The heads to listen through that plug-ins are offered: binaural decoders in a folder beside the published sessions.</summary>
/// <remarks>
/// Thread: [main] or a worker. What a decoder holds is not looked at here; a name is the name of its file.
/// Errors: <see cref="UnusableInputException"/>.
/// </remarks>
public static class PublishedHeads
{
    public const string Extension = ".decoder";

    private static readonly SearchValues<char> NotInFileNames = SearchValues.Create("/\\:*?\"<>|");

    private const string FolderName = "heads";

    public static string Locate(string? folder = null) => Path.Combine(folder ?? PublishedFolder.Locate(), FolderName);

    /// <summary>Name and path of every head, by name.</summary>
    public static IReadOnlyList<(string Name, string Path)> List(string? folder = null)
    {
        var heads = Locate(folder);
        if (!Directory.Exists(heads))
            return [];
        return [.. Directory.EnumerateFiles(heads, "*" + Extension)
            .Select(path => (Name: Path.GetFileName(path)[..^Extension.Length], Path: path))
            .OrderBy(head => head.Name, StringComparer.OrdinalIgnoreCase)];
    }

    /// <summary>Puts a head where plug-ins look for it, in place of one of the same name; returns its path.</summary>
    public static string Publish(string name, Action<Stream> write, string? folder = null)
    {
        if (name.Length is 0 or > 60 || name.AsSpan().IndexOfAny(NotInFileNames) >= 0 || name.Any(char.IsControl) || name != name.Trim(' ', '.'))
            throw new UnusableInputException("bad-name", $"'{name}' cannot be the name of a head; take 1 to 60 characters that a file name may have");
        var heads = Locate(folder);
        try
        {
            Directory.CreateDirectory(heads);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("publish-refused", $"{heads}: cannot be made ({e.Message.TrimEnd('.')}); check its permissions", e);
        }
        var path = Path.Combine(heads, name + Extension);
        using var file = PendingFile.Create(path, replace: true);
        file.Guard(write);
        file.Complete();
        return path;
    }
}
