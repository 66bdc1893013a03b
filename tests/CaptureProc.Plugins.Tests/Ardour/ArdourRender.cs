using System.Diagnostics;
using CaptureProc.Session.Published;
using CaptureProc.Testing;

namespace CaptureProc.Plugins.Tests.Ardour;

/// <summary>Runs the scripts of <c>tests/ArdourHost</c>.</summary>
internal static class ArdourRender
{
    // The host's start alone takes seconds, and the script tries three times with a limit of its own.
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(6);

    /// <returns>What the host said of the plug-ins on the way.</returns>
    public static string Run(string bundlePath, string publishedFolder, string plan, string outputPath)
    {
        var planPath = Path.ChangeExtension(outputPath, ".tracks");
        File.WriteAllText(planPath, plan.ReplaceLineEndings("\n"));
        var start = new ProcessStartInfo("bash")
        {
            ArgumentList = { Path.Combine(NativeBundle.RepositoryRoot(), "tests", "ArdourHost", "render.sh"), bundlePath, planPath, outputPath },
            RedirectStandardOutput = true, RedirectStandardError = true,
        };
        start.Environment[PublishedFolder.EnvironmentVariable] = publishedFolder;
        using var process = Process.Start(start)!;
        var errors = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEndAsync();
        if (!process.WaitForExit(Patience))
        {
            process.Kill(entireProcessTree: true);
            Assert.Fail($"Ardour did not end within {Patience}.");
        }
        Assert.True(process.ExitCode == 0, $"render.sh failed:\n{output.Result}\n{errors.Result}");
        return output.Result;
    }
}
