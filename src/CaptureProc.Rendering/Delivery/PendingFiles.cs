using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Files that other programs write, and that appear under their names together, at the end.</summary>
internal sealed class PendingFiles(bool replace) : IDisposable
{
    private readonly Dictionary<string, (PendingFile File, string Part)> files = [];

    /// <summary>Refuses at once what could not be put there later.</summary>
    public void Add(string path)
    {
        var file = PendingFile.Create(path, replace);
        files.Add(path, (file, file.HandOver()));
    }

    /// <summary>Where the other program writes.</summary>
    public string PartOf(string path) => files[path].Part;

    public void CompleteAll()
    {
        foreach (var (file, _) in files.Values)
            file.Complete();
    }

    public void Dispose()
    {
        foreach (var (file, _) in files.Values)
            file.Dispose();
    }
}

/// <summary>A hidden folder beside the output for files on the way, gone at the end.</summary>
internal sealed class ScratchFolder : IDisposable
{
    private readonly string folder;

    public ScratchFolder(string beside)
    {
        folder = Path.Combine(Path.GetDirectoryName(Path.GetFullPath(beside)) ?? ".", $".captureproc-{Guid.NewGuid():N}");
        Directory.CreateDirectory(folder);
    }

    public string Field => Path.Combine(folder, "field.wav");

    public string Opus => Path.Combine(folder, "field.opus");

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
