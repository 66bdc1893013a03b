namespace CaptureProc.DeskServer.Tests.Page;

/// <summary>The recordings and the session of the demo, made once for all tests that look at pages.</summary>
public sealed class DemoFolder : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public DemoFolder() => OpenDesk.Command("demo", folder.Path);

    /// <summary>What a recorder brings home: everything that was not made from something else.</summary>
    public void CopyRecordings(string to)
    {
        foreach (var path in Directory.GetFiles(folder.Path, "*.wav"))
            if (IsRecording(Path.GetFileName(path)))
                File.Copy(path, Path.Combine(to, Path.GetFileName(path)));
    }

    public void CopySession(string to)
    {
        CopyRecordings(to);
        File.Copy(Session, Path.Combine(to, "evening.json"));
    }

    private string Session => Directory.GetFiles(folder.Path, "*.json").Single(f => File.ReadAllText(f).Contains("captureproc-session", StringComparison.Ordinal) && !Path.GetFileName(f).StartsWith('.'));

    public static bool IsRecording(string name) => new[] { "line-up", "noise", "slate", "take", "tap" }.Any(word => name.StartsWith(word, StringComparison.Ordinal));

    public void Dispose() => folder.Dispose();
}
