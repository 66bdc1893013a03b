using System.Diagnostics;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class ManualCommandTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public ManualCommandTests() => Assert.Equal(0, CommandLine.Run("manual", folder.Path).ExitCode);

    public void Dispose() => folder.Dispose();

    // groff -ww warns of every request that it does not know and of every line that it cannot set.
    [Fact]
    public void PagesAreSetWithoutAWarningAndSayWhatTheHelpSays()
    {
        var pages = Directory.GetFiles(folder.Path, "*.1");
        Assert.Contains(folder.File("captureproc-level.1"), pages);
        foreach (var page in pages)
        {
            var (text, warnings) = Run("groff", "-man", "-ww", "-K", "utf8", "-T", "utf8", "-P", "-cbou", page);
            Assert.Equal("", warnings);
            Assert.All(["NAME", "SYNOPSIS", "OPTIONS", "EXIT STATUS"], head => Assert.Contains(head, text, StringComparison.Ordinal));
        }
        var level = Run("groff", "-man", "-K", "utf8", "-T", "utf8", "-P", "-cbou", folder.File("captureproc-level.1")).Text;
        Assert.Contains("captureproc level [SESSION] REC.wav… [options]", level, StringComparison.Ordinal);
        Assert.Contains("--tolerance DB", level, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("captureproc me", "measure")]
    [InlineData("captureproc level --tol", "--tolerance")]
    [InlineData("captureproc convert --format f", "fuma")]
    [InlineData("captureproc report --as pd", "pdf")]
    public void BashCompletes(string line, string word)
    {
        var words = line.Split(' ');
        var script = $"source {folder.File("captureproc.bash")}; COMP_WORDS=({line}); COMP_CWORD={words.Length - 1}; _captureproc; printf '%s\\n' \"${{COMPREPLY[@]}}\"";

        Assert.Equal((word + "\n", ""), Run("bash", "-c", script));
    }

    private static (string Text, string Warnings) Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var warnings = process.StandardError.ReadToEndAsync();
        var text = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (text, warnings.Result);
    }
}
