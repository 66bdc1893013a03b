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

    [Fact]
    public void BreakingOffLeavesNothingHalfWritten()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "needs signals");
        // A take of half an hour, all of it a hole in the file but for its header, is under way for long enough.
        Concert.WriteTake(concert.Take, Concert.Noise());
        using (var stream = new FileStream(concert.Take, FileMode.Open))
            MakeLong(stream, seconds: 1800);
        using var process = Start("convert", concert.Session, concert.Take, concert.Out);
        var begun = Stopwatch.StartNew();
        while (Directory.GetFiles(concert.Folder, "*.part").Length == 0 && begun.Elapsed < TimeSpan.FromSeconds(60))
            Thread.Sleep(10);

        Assert.True(Try("kill", "-INT", $"{process.Id}"));
        process.WaitForExit();

        Assert.Equal(130, process.ExitCode);
        Assert.Empty(concert.Files);
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

    private static Process Start(params string[] args) => Process.Start(new ProcessStartInfo("dotnet",
        [Path.Combine(AppContext.BaseDirectory, "captureproc.dll"), .. args]) { RedirectStandardOutput = true, RedirectStandardError = true })!;

    private static bool Try(string program, params string[] args)
    {
        using var process = Process.Start(new ProcessStartInfo(program, args) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        process.WaitForExit();
        return process.ExitCode == 0;
    }
}
