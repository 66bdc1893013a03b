namespace CaptureProc.Testing;

/// <summary>A folder that lives as long as one test.</summary>
public sealed class TemporaryFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("captureproc-").FullName;

    public string File(string name) => System.IO.Path.Combine(Path, name);

    public string Write(string name, string text)
    {
        System.IO.File.WriteAllText(File(name), text);
        return File(name);
    }

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
