using System.Diagnostics;

namespace CaptureProc.Report.Tests;

/// <summary>A browser without a screen that looks at a page: chromium --headless --screenshot / --dump-dom / --print-to-pdf.</summary>
internal static class Chromium
{
    /// <summary>Runs the browser over a file; returns its standard output and everything that it logged.</summary>
    public static (string Output, string Log) Visit(string page, string profile, params string[] options)
    {
        using var process = Process.Start(new ProcessStartInfo("chromium",
            ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars", "--no-first-run", "--enable-logging=stderr", "--v=0",
             $"--user-data-dir={profile}", .. options, new Uri(page).AbsoluteUri]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var log = process.StandardError.ReadToEndAsync();
        var output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, log.Result);
        return (output, log.Result);
    }
}
