using System.Diagnostics;

namespace CaptureProc.Cli.Tests;

/// <summary>A few of the kills of <c>tests/kills</c>, which tries a thousand: no session is lost, and nothing is left over after the next run.</summary>
public sealed class KilledCommandsTests
{
    [Fact]
    public void KilledCommandLosesNoSessionAndTheNextOneTidiesUp()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "needs signals");
        var root = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(root!.FullName, "CaptureProc.sln")))
            root = root.Parent;
        using var process = Process.Start(new ProcessStartInfo("bash", [Path.Combine(root.FullName, "tests", "kills"), "8"]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();

        Assert.True(process.ExitCode == 0, output + errors.Result);
        Assert.Contains("8 commands", output, StringComparison.Ordinal);
    }
}
