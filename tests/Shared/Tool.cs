using System.Diagnostics;

using Xunit;

namespace CaptureProc.Testing;

/// <summary>Programs from outside that judge our files: sox, ffmpeg, ffprobe (installed by tests/install-tools).</summary>
internal static class Tool
{
    /// <summary>Runs a program and returns its standard output; its error output becomes the failure.</summary>
    public static byte[] Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var errors = process.StandardError.ReadToEndAsync();
        using var output = new MemoryStream();
        process.StandardOutput.BaseStream.CopyTo(output);
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"{program} {string.Join(' ', arguments)}: {errors.Result}");
        return output.ToArray();
    }

    /// <summary>The samples of a file as sox reads them, interleaved: full scale is 1.</summary>
    public static double[] ReadWithSox(string path)
    {
        var raw = Run("sox", "-D", path, "-t", "raw", "-e", "floating-point", "-b", "64", "-");
        var samples = new double[raw.Length / 8];
        Buffer.BlockCopy(raw, 0, samples, 0, raw.Length);
        return samples;
    }

    /// <summary>The samples of a file as ffmpeg reads them, interleaved: full scale is 1.</summary>
    public static double[] ReadWithFfmpeg(string path)
    {
        var raw = Run("ffmpeg", "-loglevel", "error", "-i", path, "-f", "f64le", "-c:a", "pcm_f64le", "-");
        var samples = new double[raw.Length / 8];
        Buffer.BlockCopy(raw, 0, samples, 0, raw.Length);
        return samples;
    }
}
