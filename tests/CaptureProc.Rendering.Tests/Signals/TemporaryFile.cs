namespace CaptureProc.Rendering.Tests.Signals;

/// <summary>A place for one WAV file that is gone after the test.</summary>
internal sealed class TemporaryFile : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("captureproc-").FullName;

    public string Path => System.IO.Path.Combine(folder, "signal.wav");

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
