using CaptureProc.Dsp.Arrays;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests;

/// <summary>A folder with takes and sessions that lives as long as one test.</summary>
public sealed class Takes : IDisposable
{
    public const int SampleRateHz = 48000;

    public string Folder { get; } = Directory.CreateTempSubdirectory("captureproc-").FullName;

    public string File(string name) => Path.Combine(Folder, name);

    public string Write(string name, float[][] planar, IReadOnlyList<string?>? names = null)
    {
        using var output = WavOutput.Create(File(name), new WavOutputFormat(SampleRateHz, planar.Length, SampleFormat.Float32) { ChannelNames = names ?? [] }, replace: true);
        output.Write(planar, 0, planar[0].Length);
        output.Complete();
        return File(name);
    }

    public static float[][] Read(string path)
    {
        using var input = WavInput.Open(path);
        var planar = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        input.Read(planar, (int)input.FrameCount);
        return planar;
    }

    public static float[][] Noise(int channels, int frames, int seed)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, channels).Select(_ => Enumerable.Range(0, frames).Select(_ => (float)(random.NextDouble() - 0.5)).ToArray())];
    }

    public static SessionDocument Session(params SpotEntry[] spots) => new()
    {
        SampleRate = SampleRateHz,
        Air = new AirEntry { TemperatureC = 20, SpeedOfSound = Air.SpeedOfSoundMps(20) },
        Arrays = [Array("main", 1, 2, 3, 4)],
        Spots = spots,
    };

    public static ArrayEntry Array(string id, params int[] channels)
    {
        var preset = PresetLibrary.Find(PresetLibrary.DefaultName);
        return new ArrayEntry { Id = id, Channels = channels, Capsules = preset.Capsules, RadiusMm = preset.RadiusMm, Pattern = preset.Pattern };
    }

    /// <summary>A spot that is sure of itself.</summary>
    public static SpotEntry Spot(string id, double delaySamples, params int[] channels) => new()
    {
        Id = id,
        Channels = channels,
        Polarity = 1,
        Delay = new SpotDelay { Samples = delaySamples, Ms = 1000 * delaySamples / SampleRateHz, UncertaintySamples = 0.02, Confidence = 0.99, Source = "click" },
        Direction = new SpotDirection { AzimuthDeg = 40, ElevationDeg = -10, UncertaintyDeg = 1 },
    };

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
