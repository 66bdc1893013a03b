using System.Collections.Frozen;
using System.Reflection;

namespace CaptureProc.DeskServer.Serving;

/// <summary>The files of the page: embedded, or read from a folder by people who work on them.</summary>
internal sealed class PageFiles
{
    private const string Prefix = "page/";

    private static readonly FrozenDictionary<string, string> Types = new Dictionary<string, string>
    {
        [".html"] = "text/html; charset=utf-8",
        [".css"] = "text/css; charset=utf-8",
        [".js"] = "text/javascript; charset=utf-8",
        [".svg"] = "image/svg+xml",
    }.ToFrozenDictionary();

    private readonly string? folder;
    private readonly FrozenDictionary<string, byte[]> embedded;

    public PageFiles(string? folder)
    {
        this.folder = folder is null ? null : Path.GetFullPath(folder);
        var assembly = Assembly.GetExecutingAssembly();
        embedded = assembly.GetManifestResourceNames().Where(n => n.StartsWith(Prefix, StringComparison.Ordinal)).ToFrozenDictionary(n => n[Prefix.Length..].Replace('\\', '/'), Load);

        byte[] Load(string name)
        {
            using var stream = assembly.GetManifestResourceStream(name)!;
            var bytes = new byte[stream.Length];
            stream.ReadExactly(bytes);
            return bytes;
        }
    }

    /// <summary>A file and what it is; null where the page has none of that name.</summary>
    public (byte[] Bytes, string Type)? Find(string name)
    {
        if (!Types.TryGetValue(Path.GetExtension(name), out var type))
            return null;
        if (folder is null)
            return embedded.TryGetValue(name, out var bytes) ? (bytes, type) : null;
        var path = Path.GetFullPath(Path.Combine(folder, name));
        return path.StartsWith(folder + Path.DirectorySeparatorChar, StringComparison.Ordinal) && File.Exists(path) ? (File.ReadAllBytes(path), type) : null;
    }
}
