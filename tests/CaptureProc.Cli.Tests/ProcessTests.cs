using System.Diagnostics;
using System.Text.Json.Nodes;

namespace CaptureProc.Cli.Tests;

/// <summary>The program as it is called at a desk: a process with streams, signals and a disk that can be full.</summary>
public sealed class ProcessTests : IDisposable
{
    private readonly Concert concert = new();

    public void Dispose() => concert.Dispose();

    [Fact]
    public void ResultGoesToStandardOutputAndTheExitCodeIsZero()
    {
        var (exitCode, output, error) = Run("convert", concert.Session, concert.Take, concert.Out, "--json");

        Assert.Equal((0, ""), (exitCode, error));
        Assert.Equal(12000, (int)JsonNode.Parse(output)!["frames"]!);
    }

    [Fact]
    public void ErrorGoesToStandardErrorAndTheExitCodeIsTwo()
    {
        var (exitCode, output, error) = Run("convert", concert.Session, concert.File("none.wav"), concert.Out);

        Assert.Equal((2, ""), (exitCode, output));
        Assert.Equal($"error: {concert.File("none.wav")}: there is no such file\n", error);
    }

    [Fact]
    public void FullDiskIsSaidAndLeavesNothing()
    {
        // A disk of 256 KB, in memory; mounting it needs rights that not every machine gives.
        var disk = Directory.CreateDirectory(concert.File("disk")).FullName;
        Assert.SkipUnless(OperatingSystem.IsLinux() && Try("mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", disk), "may not mount a small disk here");
        try
        {
            Concert.WriteTake(concert.Take, [.. Concert.Noise().Select(row => Enumerable.Repeat(row, 20).SelectMany(x => x).ToArray())]);

            var (exitCode, _, error) = Run("convert", concert.Session, concert.Take, Path.Combine(disk, "out.wav"));

            Assert.Equal(2, exitCode);
            Assert.Contains("the disk is full", error, StringComparison.Ordinal);
            Assert.Empty(Directory.GetFiles(disk));
        }
        finally
        {
            Try("umount", disk);
        }
    }

    [Theory]
    [InlineData("presets > /dev/full", "standard output: the result cannot be written there")]
    [InlineData("presets --json > /dev/full", "standard output: the result cannot be written there")]
    [InlineData("presets >&-", "standard output is closed")]
    [InlineData("convert SESSION <(cat TAKE 2> /dev/null) OUT", "is a pipe or a device")]
    [InlineData("convert SESSION $'na\\xefve.wav' OUT", "there is no such file; its name seems not to be UTF-8")]
    public void OddStreamsAndNamesAreOneLineAndExitCodeTwo(string command, string said)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "needs a shell");
        var line = $"exec dotnet {Path.Combine(AppContext.BaseDirectory, "captureproc.dll")} {command}"
            .Replace("SESSION", concert.Session, StringComparison.Ordinal).Replace("TAKE", concert.Take, StringComparison.Ordinal).Replace("OUT", concert.Out, StringComparison.Ordinal);
        using var process = Process.Start(new ProcessStartInfo("bash", ["-c", line]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var error = process.StandardError.ReadToEnd();
        process.WaitForExit();

        Assert.Equal(2, process.ExitCode);
        Assert.Contains(said, Assert.Single(error.TrimEnd().Split('\n')), StringComparison.Ordinal);
        Assert.Empty(concert.Files);
    }

    private const string Changed = "is a pipe or a device, and a session is changed where it lives";

    // The session comes out of another program; what is read from it is what the file would have told.
    [Theory]
    [InlineData("convert PIPE TAKE OUT", "")]
    [InlineData("align PIPE TAKE OUT.d", "")]
    [InlineData("mix PIPE TAKE OUT", "")]
    [InlineData("listen PIPE FIELD OUT", "")]
    [InlineData("deliver PIPE FIELD OUT", "")]
    [InlineData("report PIPE OUT --as text", "")]
    [InlineData("plan PIPE --volume 900 --reverberation 1", "")]
    [InlineData("rig PIPE", "")]
    [InlineData("note PIPE", "")]
    [InlineData("level PIPE TAKE --dry-run", "")]
    [InlineData("level PIPE TAKE", Changed)]
    [InlineData("patch PIPE TAKE", Changed)]
    [InlineData("measure PIPE TAKE", Changed)]
    [InlineData("rig PIPE --title Matinee", Changed)]
    [InlineData("rig PIPE --undo", Changed)]
    [InlineData("note PIPE --place hall", Changed)]
    [InlineData("publish PIPE", Changed)]
    [InlineData("desk PIPE", Changed)]
    [InlineData("start PIPE --array main=1-4 --replace", Changed)]
    [InlineData("level <(cat TAKE 2> /dev/null)", "is a pipe or a device")]
    [InlineData("convert <(echo nothing) TAKE OUT", "is damaged")]
    [InlineData("convert <(yes 2> /dev/null) TAKE OUT", "brings more than any session holds")]
    [InlineData("convert /dev/null TAKE OUT", "is a device and no session")]
    public void SessionInAPipeIsReadByWhatReadsAndRefusedByWhatWrites(string command, string refusal)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "needs a shell");
        Concert.WriteTake(concert.File("field.wav"), Concert.Noise()[..4]);
        var before = File.ReadAllText(concert.Session);
        var line = command.Replace("PIPE", "<(cat concert.json 2> /dev/null)", StringComparison.Ordinal).Replace("TAKE", "take.wav", StringComparison.Ordinal)
            .Replace("FIELD", "field.wav", StringComparison.Ordinal).Replace("OUT", "out.wav", StringComparison.Ordinal);
        using var process = Process.Start(new ProcessStartInfo("bash", ["-c", $"exec dotnet {Path.Combine(AppContext.BaseDirectory, "captureproc.dll")} {line}"])
        {
            RedirectStandardOutput = true, RedirectStandardError = true, WorkingDirectory = concert.Folder,
        })!;
        var error = process.StandardError.ReadToEndAsync();
        process.StandardOutput.ReadToEnd();
        process.WaitForExit();

        if (refusal.Length == 0)
            Assert.True(process.ExitCode is 0 or 1, error.Result);
        else
        {
            Assert.Equal(2, process.ExitCode);
            Assert.Contains(refusal, error.Result.TrimEnd().Split('\n')[^1], StringComparison.Ordinal);
        }
        Assert.DoesNotContain("fault of the program", error.Result, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllText(concert.Session));
    }

    [Fact]
    public void MissingDecoderIsSaidPlainly()
    {
        File.WriteAllBytes(concert.File("take.flac"), [.. "fLaC"u8, .. new byte[100]]);
        var start = StartInfo("convert", concert.Session, concert.File("take.flac"), concert.Out);
        start.FileName = Environment.ProcessPath!.EndsWith("dotnet", StringComparison.Ordinal) ? Environment.ProcessPath : Which("dotnet");
        start.Environment["PATH"] = concert.Folder;
        using var process = Process.Start(start)!;
        var error = process.StandardError.ReadToEnd();
        process.WaitForExit();

        Assert.Equal(2, process.ExitCode);
        Assert.Contains("take.flac: is FLAC, which ffmpeg reads for us, and ffmpeg is not installed", error, StringComparison.Ordinal);
    }

    [Fact]
    public void SessionIsChangedThroughALinkInTheCurrentFolder()
    {
        File.CreateSymbolicLink(concert.File("ln.json"), "concert.json");
        var start = StartInfo("rig", "ln.json", "--title", "Matinee");
        start.WorkingDirectory = concert.Folder;
        using var process = Process.Start(start)!;
        var error = process.StandardError.ReadToEnd();
        process.WaitForExit();

        Assert.Equal((0, ""), (process.ExitCode, error));
        Assert.Equal("Matinee", CaptureProc.Session.SessionStore.Read(concert.Session).Title);
        Assert.Equal("concert.json", new FileInfo(concert.File("ln.json")).LinkTarget);
    }

    [Theory]
    [InlineData("convert", "INT", 130)]
    [InlineData("convert", "HUP", 129)]
    [InlineData("align", "QUIT", 131)]
    [InlineData("align", "TERM", 143)]
    public void BreakingOffLeavesNothingHalfWritten(string command, string signal, int code)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "needs signals");
        // A take of half an hour, all of it a hole in the file but for its header, is under way for long enough.
        Concert.WriteTake(concert.Take, Concert.Noise());
        using (var stream = new FileStream(concert.Take, FileMode.Open))
            MakeLong(stream, seconds: 1800);
        using var process = Start(command, concert.Session, concert.Take, concert.File("out"));
        var begun = Stopwatch.StartNew();
        while (Directory.GetFiles(concert.Folder, "*.part", SearchOption.AllDirectories).Length == 0 && begun.Elapsed < TimeSpan.FromSeconds(60))
            Thread.Sleep(10);

        Assert.True(Try("kill", $"-{signal}", $"{process.Id}"));
        process.WaitForExit();

        Assert.Equal(code, process.ExitCode);
        Assert.Empty(concert.Files);
        Assert.False(Directory.Exists(concert.File("out")));
    }

    // Raises the lengths in the header of a float file written by us, and the file with them.
    private static void MakeLong(FileStream stream, int seconds)
    {
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        var data = bytes.AsSpan().IndexOf("data"u8);
        var length = (uint)(seconds * 48000 * 5 * 4);
        stream.Position = data + 4;
        stream.Write(BitConverter.GetBytes(length));
        stream.Position = 4;
        stream.Write(BitConverter.GetBytes(length + (uint)data));
        stream.SetLength(data + 8 + (long)length);
    }

    private static (int ExitCode, string Output, string Error) Run(params string[] args)
    {
        using var process = Start(args);
        var error = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, output, error.Result);
    }

    private static Process Start(params string[] args) => Process.Start(StartInfo(args))!;

    private static ProcessStartInfo StartInfo(params string[] args) => new("dotnet",
        [Path.Combine(AppContext.BaseDirectory, "captureproc.dll"), .. args]) { RedirectStandardOutput = true, RedirectStandardError = true };

    private static string Which(string program) => Environment.GetEnvironmentVariable("PATH")!.Split(':').Select(folder => Path.Combine(folder, program)).First(File.Exists);

    private static bool Try(string program, params string[] args)
    {
        using var process = Process.Start(new ProcessStartInfo(program, args) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        process.WaitForExit();
        return process.ExitCode == 0;
    }
}
