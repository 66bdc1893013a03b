using System.Diagnostics;
using System.Runtime.InteropServices;
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

    [Fact]
    public void PdfIsPrintedAndNotAPageUnderAnotherName()
    {
        var pdf = folder.File("s.pdf");

        Assert.Equal(0, CommandLine.Run("report", session, pdf).ExitCode);

        // ISO 32000: a PDF begins so, and its last line is this.
        Assert.StartsWith("%PDF-", File.ReadAllText(pdf), StringComparison.Ordinal);
        Assert.EndsWith("%%EOF", File.ReadAllText(pdf).TrimEnd(), StringComparison.Ordinal);
    }

    [Fact]
    public void WithoutABrowserAPdfIsRefusedInOneLine()
    {
        // The runtime lies three folders below its host, wherever that is; the path of this process knows no browser.
        var host = Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), "../../../dotnet");
        var start = new ProcessStartInfo(host, [Path.Combine(AppContext.BaseDirectory, "captureproc.dll"), "report", session, folder.File("s.pdf")])
        {
            RedirectStandardError = true, RedirectStandardOutput = true,
        };
        start.Environment["PATH"] = folder.Path;
        using var process = Process.Start(start)!;
        var said = process.StandardError.ReadToEnd();
        process.WaitForExit();

        Assert.Equal(2, process.ExitCode);
        Assert.Contains("Chromium, which is not on this machine; install it, or write", Assert.Single(said.TrimEnd().Split('\n')), StringComparison.Ordinal);
        Assert.False(File.Exists(folder.File("s.pdf")));
    }

    [Fact]
    public void ListsAreWrittenByTheEndingOfTheirNameOrByAs()
    {
        SessionStore.Update(session, s => s with { Clicks = [new ClickEntry { Spot = "harp", TimeSeconds = 1 }] });

        Assert.Equal("csv", (string)CommandLine.Run("report", session, folder.File("s.csv"), "--json").Json["as"]!);
        Assert.Equal("text", (string)CommandLine.Run("report", session, folder.File("delays"), "--as", "text", "--json").Json["as"]!);
        Assert.Equal("markers", (string)CommandLine.Run("report", session, folder.File("s.mid"), "--json").Json["as"]!);

        Assert.StartsWith("spot,channels,delay_samples", File.ReadAllText(folder.File("s.csv")), StringComparison.Ordinal);
        Assert.StartsWith("Two lanterns", File.ReadAllText(folder.File("delays")), StringComparison.Ordinal);
        Assert.StartsWith("MThd", File.ReadAllText(folder.File("s.mid")), StringComparison.Ordinal);
        CommandLine.Refuses("its name does not say what to write", "report", session, folder.File("s.doc"));
        CommandLine.Refuses("--recording is for the waveforms", "report", session, folder.File("t.csv"), "--recording", "x.wav");
    }
}
