using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.RegularExpressions;
using static CaptureProc.Dsp.Tests.Loudness.LoudnessSignals;

namespace CaptureProc.Dsp.Tests.Loudness;

/// <summary>The same samples through another meter: ffmpeg -f f32le -ar RATE -ac 2 -i FILE -af ebur128=peak=true -f null -</summary>
public class FfmpegLoudnessTests
{
    [Theory]
    [InlineData(44_100)]
    [InlineData(48_000)]
    [InlineData(96_000)]
    public void ReadingsAreThoseOfFfmpeg(int rateHz)
    {
        var (left, right) = (Swelling(11, rateHz), Swelling(12, rateHz));
        var loudness = Measure(rateHz, [1, 1], left, right);
        var summary = Ffmpeg(rateHz, left, right);

        // ffmpeg prints one decimal; its true peak comes from a resampler to 192 kHz, ours from 352.8 kHz or more.
        Assert.Equal(Figure(summary, @"I:\s+(\S+) LUFS"), loudness.IntegratedLufs, 0.06);
        Assert.Equal(Figure(summary, @"LRA:\s+(\S+) LU"), loudness.RangeLu, 0.16);
        Assert.Equal(Figure(summary, @"True peak:\s+Peak:\s+(\S+) dBFS"), TruePeak(rateHz, left, right).MaxPeakDbtp, 0.15);
    }

    // Noise through a one-pole low-pass, its level moving by 20 dB over 40 s: gates, range and peaks all have work to do.
    private static float[] Swelling(int seed, int rateHz)
    {
        var random = new Random(seed);
        var signal = new float[40 * rateHz];
        var state = 0.0;
        for (var i = 0; i < signal.Length; i++)
        {
            state += 0.2 * (random.NextDouble() - random.NextDouble() - state);
            var levelDb = -10 + 10 * Math.Sin(2 * Math.PI * i / (17.0 * rateHz));
            signal[i] = (float)(state * Math.Pow(10, levelDb / 20));
        }
        return signal;
    }

    private static string Ffmpeg(int rateHz, float[] left, float[] right)
    {
        var file = Path.Combine(Path.GetTempPath(), $"loudness-{Guid.NewGuid():N}.f32");
        try
        {
            var interleaved = new float[2 * left.Length];
            for (var i = 0; i < left.Length; i++)
                (interleaved[2 * i], interleaved[2 * i + 1]) = (left[i], right[i]);
            File.WriteAllBytes(file, MemoryMarshal.AsBytes(interleaved.AsSpan()));
            using var process = Process.Start(new ProcessStartInfo("ffmpeg",
                ["-hide_banner", "-nostats", "-f", "f32le", "-ar", $"{rateHz}", "-ac", "2", "-i", file, "-af", "ebur128=peak=true", "-f", "null", "-"])
            { RedirectStandardError = true })!;
            var text = process.StandardError.ReadToEnd();
            process.WaitForExit();
            return text[text.IndexOf("Summary:", StringComparison.Ordinal)..];
        }
        finally
        {
            File.Delete(file);
        }
    }

    private static double Figure(string summary, string pattern) =>
        double.Parse(Regex.Match(summary, pattern).Groups[1].Value, CultureInfo.InvariantCulture);
}
