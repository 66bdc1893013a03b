using System.Diagnostics;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Rendering.Delivery;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Delivery;

/// <summary>A folder with mixes to deliver, and the programs from outside that judge what comes of them.</summary>
public sealed class DeliveryDesk : IDisposable
{
    public const int RateHz = 48_000;

    private readonly string folder = Directory.CreateTempSubdirectory("captureproc-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    public string At(string name) => Path.Combine(folder, name);

    public string[] Listing => [.. Directory.EnumerateFileSystemEntries(folder).Select(p => Path.GetFileName(p)).Order()];

    /// <summary>Programme-like noise: a source ahead to the left that swells, over a quieter surrounding.</summary>
    public string WriteMix(string name, int order = 1, double seconds = 6, double level = 0.1, SampleFormat format = SampleFormat.Float32)
    {
        var random = new Random(40 + order);
        var channels = SphericalHarmonics.ChannelCount(order);
        var harmonics = new double[channels];
        SphericalHarmonics.Evaluate(new Direction(40, 15), harmonics);
        var field = Enumerable.Range(0, channels).Select(_ => new float[(int)(seconds * RateHz)]).ToArray();
        var smooth = 0.0;
        for (var i = 0; i < field[0].Length; i++)
        {
            // One pole takes the top off: where noise reaches the Nyquist frequency, two true-peak meters need not agree.
            smooth += 0.3 * (3 * (2 * random.NextDouble() - 1) - smooth);
            var source = smooth * (0.6 + 0.4 * Math.Sin(2 * Math.PI * i / (2.0 * RateHz)));
            for (var c = 0; c < channels; c++)
                field[c][i] = (float)(level * (harmonics[c] * source + 0.05 * (2 * random.NextDouble() - 1)));
        }
        return Write(name, field, format);
    }

    /// <summary>A tone of its own in every channel, at a level of its own.</summary>
    public string WriteTones(string name, int order)
    {
        var channels = SphericalHarmonics.ChannelCount(order);
        var field = Enumerable.Range(0, channels).Select(_ => new float[3 * RateHz]).ToArray();
        for (var c = 0; c < channels; c++)
            for (var i = 0; i < field[c].Length; i++)
                field[c][i] = (float)(ToneAmplitude(c) * Math.Sin(2 * Math.PI * ToneHz(c) * i / RateHz));
        return Write(name, field, SampleFormat.Float32);
    }

    public static double ToneHz(int channel) => 400 + 150 * channel;

    public static double ToneAmplitude(int channel) => 0.25 * Math.Pow(10, -channel / 20.0);

    public string Write(string name, float[][] field, SampleFormat format, WavOutputFormat? like = null)
    {
        var path = At(name);
        using var output = WavOutput.Create(path, like ?? new WavOutputFormat(RateHz, field.Length, format), replace: false);
        output.Write(field, 0, field[0].Length);
        output.Complete();
        return path;
    }

    public static DeliveryPlan Plan(string mix, params (DeliveryContainer, string)[] files)
    {
        using var input = WavInput.Open(mix);
        return new DeliveryPlan(mix, files, StatedRendering.Pair(FieldOrder.Of(input.ChannelCount, mix))) { Title = "Two lanterns" };
    }

    public static float[][] Read(string path)
    {
        using var input = WavInput.Open(path);
        var planar = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        input.Read(planar, (int)input.FrameCount);
        return planar;
    }

    /// <summary>Samples as ffmpeg decodes them, planar.</summary>
    public static float[][] Decode(string path, int channels)
    {
        var raw = Run("ffmpeg", "-v", "error", "-i", path, "-map", "0:a", "-f", "f32le", "-c:a", "pcm_f32le", "-");
        var frames = raw.Length / 4 / channels;
        var planar = Enumerable.Range(0, channels).Select(_ => new float[frames]).ToArray();
        for (var i = 0; i < frames; i++)
            for (var c = 0; c < channels; c++)
                planar[c][i] = BitConverter.ToSingle(raw, 4 * (i * channels + c));
        return planar;
    }

    public static string Probe(string path, string entries) =>
        Encoding.UTF8.GetString(Run("ffprobe", "-v", "error", "-show_entries", entries, "-of", "default=noprint_wrappers=1", path));

    /// <summary>Integrated loudness and true peak of a filter graph's output, by ffmpeg's ebur128.</summary>
    public static (double Lufs, double Dbtp) Ebur128(string path, string filter)
    {
        using var process = Process.Start(new ProcessStartInfo("ffmpeg",
            ["-hide_banner", "-nostats", "-i", path, "-map", "0:a", "-af", $"{filter},ebur128=peak=true", "-f", "null", "-"]) { RedirectStandardError = true })!;
        var text = process.StandardError.ReadToEnd();
        process.WaitForExit();
        var summary = text[text.IndexOf("Summary:", StringComparison.Ordinal)..];
        return (Figure(summary, @"I:\s+(\S+) LUFS"), Figure(summary, @"Peak:\s+(\S+) dBFS"));
    }

    public static byte[] Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        var errors = process.StandardError.ReadToEndAsync();
        using var output = new MemoryStream();
        process.StandardOutput.BaseStream.CopyTo(output);
        process.WaitForExit();
        Assert.True(process.ExitCode == 0 && errors.Result.Length == 0, $"{program} {string.Join(' ', arguments)}: {errors.Result}");
        return output.ToArray();
    }

    /// <summary>Amplitude of a tone in the middle of a signal, by correlation with it over whole seconds.</summary>
    public static double Amplitude(float[] signal, double hz)
    {
        var (re, im) = (0.0, 0.0);
        var start = signal.Length / 2 - RateHz / 2;
        for (var i = start; i < start + RateHz; i++)
        {
            re += signal[i] * Math.Cos(2 * Math.PI * hz * i / RateHz);
            im += signal[i] * Math.Sin(2 * Math.PI * hz * i / RateHz);
        }
        return 2 * Math.Sqrt(re * re + im * im) / RateHz;
    }

    private static double Figure(string text, string pattern) =>
        double.Parse(Regex.Match(text, pattern).Groups[1].Value, CultureInfo.InvariantCulture);
}
