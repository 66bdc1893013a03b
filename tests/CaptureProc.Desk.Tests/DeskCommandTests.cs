using System.Diagnostics;
using CaptureProc.Cli;

namespace CaptureProc.DeskServer.Tests;

public sealed class DeskCommandTests
{
    [Theory]
    [InlineData("INT")]
    [InlineData("TERM")]
    public void ASignalEndsTheDeskCleanly(string signal)
    {
        using var folder = new TemporaryFolder();
        var program = typeof(CommandLineProgram).Assembly.Location;
        using var desk = Process.Start(new ProcessStartInfo("dotnet", [program, "desk", folder.Path, "--no-browser", "--json"]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        // The object that it prints is closed by a line of its own.
        while (desk.StandardOutput.ReadLine() is { } line && line != "}")
        {
        }
        using (var kill = Process.Start("kill", [$"-{signal}", $"{desk.Id}"]))
            kill.WaitForExit();
        Assert.True(desk.WaitForExit(TimeSpan.FromMinutes(2)));
        Assert.Equal(0, desk.ExitCode);
        Assert.Empty(Directory.GetFileSystemEntries(folder.Path));
    }

    [Fact]
    public void AFolderOrAPortThatCannotBeUsedIsRefusedInOneLine()
    {
        foreach (var words in new[] { new[] { "desk", "/no/such/folder", "/no/such/folder", "--no-browser" }, ["desk", "--port", "0", "--no-browser"], ["desk", "--port", "70000", "--no-browser"] })
        {
            using StringWriter stdout = new(), stderr = new();
            Assert.Equal(2, CommandLineProgram.Run(words, stdout, stderr));
            Assert.StartsWith("error: ", Assert.Single(stderr.ToString().TrimEnd().Split('\n')), StringComparison.Ordinal);
        }
    }
}
