using CaptureProc.Session;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Files that other programs write, and that appear under their names together, at the end.</summary>
internal sealed class PendingFiles(bool replace) : IDisposable
{
    private readonly Dictionary<string, PendingFile> files = [];

    /// <summary>Refuses at once what could not be put there later.</summary>
    public void Add(string path)
    {
        files.Add(path, PendingFile.Create(path, replace));
    }

    /// <summary>Where the other program writes.</summary>
    public string PartOf(string path) => files[path].HandOver();

    /// <summary>Copies a file that another program has written elsewhere.</summary>
    public void Fill(string path, string source) => files[path].Guard(stream =>
    {
        using var from = File.OpenRead(source);
        from.CopyTo(stream);
    });

    public void CompleteAll() => PendingFile.CompleteAll(files.Values);

    public void Dispose()
    {
        foreach (var file in files.Values)
            file.Dispose();
    }
}

/// <summary>A hidden folder beside the output for files on the way, gone at the end.</summary>
internal sealed class ScratchFolder : IDisposable
{
    private readonly string folder;
    private readonly FileStream owner;

    public ScratchFolder(string beside)
    {
        folder = Leftovers.NameBeside(beside, "scratch");
        owner = Leftovers.Make(folder, () =>
        {
            Directory.CreateDirectory(folder);
            return new FileStream(Path.Combine(folder, Leftovers.OwnerFile), FileMode.CreateNew, FileAccess.ReadWrite, FileShare.Read);
        });
    }

    public string Field => Path.Combine(folder, "field.wav");

    public string Opus => Path.Combine(folder, "field.opus");

    public void Dispose()
    {
        owner.Dispose();
        if (Leftovers.Settle(folder))
            Directory.Delete(folder, recursive: true);
    }
}
