using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;

namespace CaptureProc.Rendering.Tests.Signals;

/// <summary>What sox and ffmpeg say about a file of ours (installed by tests/install-tools).</summary>
internal static class OutsidePrograms
{
    /// <summary>One line of <c>sox FILE -n stat</c>, such as "RMS     amplitude".</summary>
    public static double SoxStat(string path, string line) => Find(Run("sox", path, "-n", "stat"), line.Replace(" ", @"\s+", StringComparison.Ordinal) + @":\s+(\S+)");

    /// <summary>The true peak that ffmpeg's ebur128 filter reads, in dBTP.</summary>
    public static double FfmpegTruePeakDbtp(string path) =>
        Find(Run("ffmpeg", "-hide_banner", "-nostats", "-i", path, "-af", "ebur128=peak=true", "-f", "null", "-"), @"True peak:\s+Peak:\s+(\S+) dBFS");

    private static double Find(string text, string pattern)
    {
        var match = Regex.Match(text, pattern);
        Assert.True(match.Success, $"'{pattern}' is not in: {text}");
        return double.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture);
    }

    private static string Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var output = process.StandardOutput.ReadToEndAsync();
        var text = process.StandardError.ReadToEnd() + output.Result;
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, text);
        return text;
    }
}
