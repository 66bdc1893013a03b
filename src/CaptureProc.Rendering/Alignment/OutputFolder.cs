using CaptureProc.Session;

namespace CaptureProc.Rendering.Alignment;

/// <summary>The folder that takes the files; made if need be, and gone again if nothing came of it.</summary>
internal sealed class OutputFolder : IDisposable
{
    private readonly bool isNew;

    private OutputFolder(string path, bool isNew) => (Path, this.isNew) = (path, isNew);

    public string Path { get; }

    public static OutputFolder Open(string path)
    {
        if (System.IO.File.Exists(path))
            throw new UnusableInputException("output-is-file", $"{path}: is a file; give a folder for the aligned files");
        var isNew = !Directory.Exists(path);
        try
        {
            if (isNew)
                Leftovers.Make(path, () => Directory.CreateDirectory(path));
            else
                Leftovers.SweepFolder(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new UnusableInputException("output-refused", $"{path}: the folder cannot be made ({e.Message.TrimEnd('.')})", e);
        }
        return new OutputFolder(path, isNew);
    }

    public string File(string name) => System.IO.Path.Combine(Path, name);

    public void Dispose()
    {
        if (isNew)
            Leftovers.Settle(Path);
        if (isNew && !Directory.EnumerateFileSystemEntries(Path).Any())
            Directory.Delete(Path);
    }
}
