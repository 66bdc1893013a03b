using System.Diagnostics;

namespace CaptureProc.Rendering.Tests;

/// <summary>Programs from outside that judge our files (installed by tests/install-tools).</summary>
internal static class Tool
{
    public static void Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true })!;
        var errors = process.StandardError.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"{program} {string.Join(' ', arguments)}: {errors}");
    }
}
