using CaptureProc.Rendering.Signals;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenarios;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Demo;

/// <summary>What the recorder of the demo brings home: the noise of the line-up, taps on the capsules, a slate, a rehearsal and a take.</summary>
internal static class DemoRecordings
{
    public const string LineUp = "noise.wav";
    public const string Taps = "taps.wav";
    public const string Slate = "slate.wav";
    public const string Rehearsal = "rehearsal.wav";
    public const string Take = "take.wav";

    /// <summary>All of them, in the order of the evening.</summary>
    public static readonly string[] Names = [LineUp, Taps, Slate, Rehearsal, Take];

    private const int RateHz = (int)TideMill.SampleRateHz;
    private const double LineUpSeconds = 8;
    private const double LineUpDbfs = -12;

    private static readonly string[] CapsuleLabels = ["FLU", "FRD", "BLD", "BRU"];

    /// <summary>Simulates the session and writes its files.</summary>
    /// <returns>What a perfect measurement would find.</returns>
    public static SceneTruth Write(string folder, Scene scene, bool replace)
    {
        var recording = SceneRenderer.Render(scene);
        var names = TrackNames(scene);
        var slateFrames = (int)(TideMill.SlateSeconds * RateHz);
        var rehearsalFrames = (int)(TideMill.RehearsalSeconds * RateHz);
        var takeBegins = slateFrames + rehearsalFrames;
        var lineUp = LineUpChannels(scene);
        var taps = SceneRenderer.Render(TideMill.Taps(scene.Seed)).Channels;
        WriteFile(Path.Combine(folder, LineUp), lineUp, 0, lineUp[0].Length, names, replace);
        WriteFile(Path.Combine(folder, Taps), [.. taps, .. NotPlugged(scene, taps[0].Length)], 0, taps[0].Length, names, replace);
        WriteFile(Path.Combine(folder, Slate), recording.Channels, 0, slateFrames, names, replace);
        WriteFile(Path.Combine(folder, Rehearsal), recording.Channels, slateFrames, rehearsalFrames, names, replace);
        WriteFile(Path.Combine(folder, Take), recording.Channels, takeBegins, recording.FrameCount - takeBegins, names, replace);
        return recording.Truth;
    }

    /// <summary>The same pink noise into the inputs of the array, at the gain that each happens to have.</summary>
    private static float[][] LineUpChannels(Scene scene)
    {
        var frames = (int)(LineUpSeconds * RateHz);
        var noise = new PinkNoise(RateHz, frames, 1, LineUpDbfs, crestBoundDb: null, scene.Seed);
        var dry = new double[frames];
        noise.Render(0, 0, dry);
        return
        [
            .. scene.Arrays[0].GainErrorsDb.Select(db => Array.ConvertAll(dry, x => (float)(x * Math.Pow(10, db / 20)))),
            .. NotPlugged(scene, frames),
        ];
    }

    /// <summary>The channels of the spots, while nobody has plugged them yet.</summary>
    private static IEnumerable<float[]> NotPlugged(Scene scene, int frames) =>
        scene.Spots.SelectMany(spot => Enumerable.Range(0, ChannelCount(spot))).Select(_ => new float[frames]);

    private static List<string> TrackNames(Scene scene)
    {
        var names = new List<string>();
        AddTracks(scene.Arrays[0].Id, CapsuleLabels.Length);
        foreach (var spot in scene.Spots)
            AddTracks(spot.Id, ChannelCount(spot));
        return names;

        void AddTracks(string id, int channels)
        {
            if (channels == 1)
                names.Add(id);
            else
                names.AddRange(CapsuleLabels.Select(label => $"{id} {label}"));
        }
    }

    public static int ChannelCount(SceneSpot spot) => spot.Capsules?.Capsules.Count ?? 1;

    private static void WriteFile(string path, float[][] channels, int firstFrame, int frames, IReadOnlyList<string> names, bool replace)
    {
        var format = new WavOutputFormat(RateHz, channels.Length, SampleFormat.Pcm24) { ChannelNames = names };
        using var output = WavOutput.Create(path, format, replace);
        output.Write(channels, firstFrame, frames);
        output.Complete();
    }
}
