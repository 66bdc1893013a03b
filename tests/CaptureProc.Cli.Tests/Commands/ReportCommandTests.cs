using CaptureProc.Session;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class ReportCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();
    private readonly string session;

    public ReportCommandTests()
    {
        session = folder.File("s.json");
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4", "--spot", "harp=5", "--title", "Two lanterns").ExitCode);
    }

    public void Dispose() => folder.Dispose();

    [Fact]
    public void FreshSessionGetsAPageThatSaysWhatIsMissing()
    {
        var page = folder.File("s.html");
        var result = CommandLine.Run("report", session, page);
        Assert.Equal(0, result.ExitCode);
        var html = File.ReadAllText(page);
        Assert.StartsWith("<!doctype html>", html, StringComparison.Ordinal);
        Assert.Contains("<h1>Two lanterns</h1>", html, StringComparison.Ordinal);
        Assert.Contains("No delay has been measured", html, StringComparison.Ordinal);
    }

    [Fact]
    public void MissingSlateIsSaidOnPageAndInJson()
    {
        SessionStore.Update(session, s => s with { Clicks = [new ClickEntry { Spot = "harp", TimeSeconds = 1 }] });
        var result = CommandLine.Run("report", session, folder.File("s.html"), "--json");
        Assert.Equal(0, (int)result.Json["waveforms"]!);
        Assert.Contains("names no slate", (string)result.Json["note"]!, StringComparison.Ordinal);
        Assert.Contains("--recording", File.ReadAllText(folder.File("s.html")), StringComparison.Ordinal);
    }

    [Fact]
    public void UnusableFilesAreRefusedAndNothingIsLeftBehind()
    {
        File.WriteAllText(folder.File("mine.html"), "mine");
        CommandLine.Refuses("exists already", "report", session, folder.File("mine.html"));
        CommandLine.Refuses("there is no such session file", "report", folder.File("none.json"), folder.File("s.html"));
        CommandLine.Refuses("there is no such file", "report", session, folder.File("s.html"), "--recording", folder.File("none.wav"));
        Assert.Equal("mine", File.ReadAllText(folder.File("mine.html")));
        Assert.Empty(Directory.EnumerateFiles(folder.Path, "*s.html*"));
    }
}
