using System.Diagnostics;
using System.Text.RegularExpressions;
using CaptureProc.Cli.Demo;

namespace CaptureProc.Cli.Tests;

/// <summary>What the README tells people to type, typed: word for word, by bash, in an empty home and an empty folder.</summary>
public sealed partial class ReadmeTests : IDisposable
{
    private static readonly string root = NativeBundle.RepositoryRoot();

    private readonly TemporaryFolder home = new();

    public void Dispose() => home.Dispose();

    [Fact]
    public void EveryCommandOfTheReadmeWorksOneAfterTheOther()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "the installer that the README names first is that for Linux");
        var commands = Commands();
        var install = Assert.Single(commands, c => !IsOurs(c) && c != "cd evening");
        Directory.CreateDirectory(home.File("work"));

        var (installed, log) = Bash(install, root);

        Assert.True(installed == 0, log);
        Assert.Contains("Building the command line", log, StringComparison.Ordinal);
        Assert.False(Directory.Exists(home.File(".vst3")), "the command line alone brings no plug-ins");
        Assert.True(File.Exists(home.File(".local/share/man/man1/captureproc-level.1")), log);
        // Each command says how it ended; 1 is a finding, and the gains of this evening are meant to be one.
        var (_, said) = Bash(string.Join('\n', commands.Where(c => c != install).Select((c, i) => $"{c}\necho \"ended {i} $?\"")), home.File("work"));
        var ended = Ended().Matches(said).Select(m => (Command: commands.Where(c => c != install).ElementAt(int.Parse(m.Groups[1].Value)), Code: int.Parse(m.Groups[2].Value))).ToList();
        Assert.Equal(commands.Count - 1, ended.Count);
        Assert.All(ended, e => Assert.True(e.Code is 0 or 1, $"{e.Command}: {e.Code}\n{said}"));
        Assert.True(File.Exists(Path.Combine(home.File("work"), "evening", "evening.html")));
    }

    [Fact]
    public void DemoTypesWhatTheReadmeSays()
    {
        var chapter = Commands().SkipWhile(c => !c.StartsWith("captureproc start", StringComparison.Ordinal)).ToList();

        // Publishing is left to the person: it would put the demo among the sessions of their plug-ins.
        Assert.Equal([.. DemoJob.Commands.Select(c => $"captureproc {DemoJob.Line(c)}"), "captureproc publish evening.json"], chapter);
    }

    private static bool IsOurs(string command) => command.StartsWith("captureproc ", StringComparison.Ordinal);

    /// <summary>The lines of the README's fenced blocks, without what is said beside them.</summary>
    private static List<string> Commands() =>
    [
        .. Fence().Matches(File.ReadAllText(Path.Combine(root, "README.md"))).SelectMany(m => Continued().Replace(m.Groups[1].Value, " ").Split('\n', StringSplitOptions.RemoveEmptyEntries))
            .Select(line => Remark().Replace(line, "").Trim()),
    ];

    private (int ExitCode, string Said) Bash(string script, string folder)
    {
        var start = new ProcessStartInfo("bash", ["-c", $"exec 2>&1\n{script}"]) { WorkingDirectory = folder, RedirectStandardOutput = true };
        // Packages come from the cache of whoever runs the tests; everything else belongs to a person who has nothing yet.
        start.Environment["NUGET_PACKAGES"] = Environment.GetEnvironmentVariable("NUGET_PACKAGES")
            ?? Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.UserProfile), ".nuget", "packages");
        start.Environment["HOME"] = home.Path;
        // Native code takes minutes to make; tests/systems and the tests of the library look at it.
        start.Environment["CAPTUREPROC_BUILD"] = "managed";
        start.Environment["PATH"] = $"{home.File(".local/bin")}:{Environment.GetEnvironmentVariable("PATH")}";
        foreach (var variable in (string[])["XDG_DATA_HOME", "CAPTUREPROC_SESSIONS", "VST3_FOLDER"])
            start.Environment.Remove(variable);
        using var process = Process.Start(start)!;
        var said = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, said);
    }

    [GeneratedRegex("(?s)```\n(.*?)```")]
    private static partial Regex Fence();

    [GeneratedRegex(@"\s*\\\n\s*")]
    private static partial Regex Continued();

    [GeneratedRegex(@"\s+# .*$")]
    private static partial Regex Remark();

    [GeneratedRegex(@"(?m)^ended (\d+) (\d+)$")]
    private static partial Regex Ended();
}
