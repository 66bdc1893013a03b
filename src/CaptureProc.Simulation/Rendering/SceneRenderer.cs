using CaptureProc.Dsp.Fourier;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Rendering;

/// <summary>Turns a scene into the recorder's channels and the truth about them.</summary>
/// <remarks>
/// Thread: [any]; the same scene gives the same samples. Every pair of source and capsule gets one impulse response, through
/// which all clicks and all programme of that source go. Then noise, gains, clipping, and one common gain for a peak of 0.5.
/// </remarks>
public sealed partial class SceneRenderer
{
    private readonly Scene scene;
    private readonly SeededRandom chance;
    private readonly List<Receiver> receivers = [];
    private readonly double[][] clickSounds;
    private readonly Dictionary<string, BlockSpectra> sounds = [];
    private readonly RealFft<double> transform = new(2 * BlockFrames);
    private readonly BlockSpectra responseSpectra, channelSpectra;
    private readonly double[] response;
    private readonly int frameCount;

    /// <summary>A third of a second at 48 kHz: short against the pauses of a slate, long enough for few blocks a response.</summary>
    private const int BlockFrames = 16384;

    private SceneRenderer(Scene scene)
    {
        this.scene = scene;
        chance = new SeededRandom(scene.Seed);
        frameCount = (int)Math.Round(scene.DurationSeconds * scene.SampleRateHz);
        response = new double[(int)(ResponseSeconds * scene.SampleRateHz) + 2 * BandLimitedImpulse.ReachFrames];
        responseSpectra = new BlockSpectra(transform, response.Length);
        channelSpectra = new BlockSpectra(transform, frameCount);
        foreach (var array in scene.Arrays)
            receivers.Add(Receiver.Of(array));
        foreach (var spot in scene.Spots)
            receivers.Add(Receiver.Of(spot, scene));
        clickSounds = new double[scene.Clicks.Count][];
        for (var i = 0; i < clickSounds.Length; i++)
        {
            clickSounds[i] = ClickSounds.Make(scene.Clicks[i].Kind, scene.SampleRateHz, chance.Fork($"click {i}"));
            Gain.Apply(clickSounds[i], Gain.FromDb(scene.Clicks[i].LevelDb));
        }
        foreach (var source in scene.Sources)
            if (Sound(source) is { } sound)
                sounds.Add(source.Id, sound);
    }

    public static SceneRecording Render(Scene scene) => new SceneRenderer(scene).Render();

    private SceneRecording Render()
    {
        var channels = new List<double[]>();
        var names = new List<string>();
        foreach (var receiver in receivers)
        {
            var own = RenderClean(receiver);
            AddNoise(receiver, own);
            for (var i = 0; i < own.Length; i++)
            {
                Clip(receiver, own[i]);
                Gain.Apply(own[i], receiver.Gains[i]);
                channels.Add(own[i]);
                names.Add(own.Length == 1 ? receiver.Id : $"{receiver.Id} {i + 1}");
            }
        }
        return new SceneRecording(scene.SampleRateHz, ToCommonPeak(channels, 0.5), names, Truth());
    }

    /// <summary>All sources through the room into the capsules of one receiver.</summary>
    private double[][] RenderClean(Receiver receiver)
    {
        var heard = new List<(BlockSpectra Sound, ImageSource[] Images)>();
        foreach (var source in scene.Sources)
            if (sounds.TryGetValue(source.Id, out var sound))
                heard.Add((sound, Arrivals(source, receiver)));

        var own = new double[receiver.Capsules.Length][];
        for (var i = 0; i < own.Length; i++)
        {
            channelSpectra.Clear();
            foreach (var (sound, images) in heard)
            {
                receiver.Capsules[i].Respond(images, scene.Room, scene.SampleRateHz, response);
                responseSpectra.Fill(response);
                channelSpectra.AddProduct(sound, responseSpectra);
            }
            own[i] = new double[frameCount];
            channelSpectra.AddTo(own[i]);
        }
        return own;
    }

    private double ResponseSeconds => Math.Min(scene.LongestTailSeconds, scene.Room.ReverberationSeconds);

    private ImageSource[] Arrivals(SceneSource source, Receiver receiver) => scene.FreeField
        ? [ImageField.Direct(source.PositionM, source.Radiation, receiver.CentreM)]
        : ImageField.At(scene.Room, source.PositionM, source.Radiation, receiver.CentreM, ResponseSeconds,
            chance.Fork($"tail from {source.Id} at {receiver.Id}"));

    /// <summary>Everything one source says over the whole scene, early by the reach that the responses are late.</summary>
    private BlockSpectra? Sound(SceneSource source)
    {
        var said = new double[frameCount];
        var speaks = false;
        for (var i = 0; i < clickSounds.Length; i++)
            if (scene.Clicks[i].SourceId == source.Id)
                Say(scene.Clicks[i].TimeSeconds, clickSounds[i]);
        foreach (var programme in scene.Programme)
            if (programme.SourceId == source.Id)
                Say(programme.TimeSeconds, programme.Samples);
        if (!speaks)
            return null;
        var spectra = new BlockSpectra(transform, frameCount);
        spectra.Fill(said);
        return spectra;

        void Say(double timeSeconds, double[] sound)
        {
            speaks = true;
            var start = Frame(timeSeconds) - BandLimitedImpulse.ReachFrames;
            for (var i = Math.Max(0, -start); i < sound.Length && start + i < said.Length; i++)
                said[start + i] += sound[i];
        }
    }

    private int Frame(double seconds) => (int)Math.Round(seconds * scene.SampleRateHz);

    /// <summary>Clips a spot's channel while its own clicks pass, before the recorder's gain.</summary>
    private void Clip(Receiver receiver, Span<double> channel)
    {
        foreach (var click in scene.Clicks)
        {
            if (click.ClippedByDb is not { } clippedByDb || click.SourceId != receiver.SourceId)
                continue;
            var source = scene.Source(click.SourceId);
            var arrival = Frame(click.TimeSeconds + (source.PositionM - receiver.CentreM).Length / scene.Room.SpeedOfSoundMps);
            var start = Math.Clamp(arrival - Frame(0.002), 0, channel.Length);
            var passing = channel[start..Math.Clamp(arrival + Frame(0.06), start, channel.Length)];
            var limit = Peak.Of(passing) * Gain.FromDb(-clippedByDb);
            for (var i = 0; i < passing.Length; i++)
                passing[i] = Math.Clamp(passing[i], -limit, limit);
        }
    }

    private static float[][] ToCommonPeak(List<double[]> channels, double wantedPeak)
    {
        var peak = 0.0;
        foreach (var channel in channels)
            peak = Math.Max(peak, Peak.Of(channel));
        var gain = peak > 0 ? wantedPeak / peak : 1;
        var scaled = new float[channels.Count][];
        for (var c = 0; c < scaled.Length; c++)
        {
            scaled[c] = new float[channels[c].Length];
            for (var i = 0; i < scaled[c].Length; i++)
                scaled[c][i] = (float)(channels[c][i] * gain);
        }
        return scaled;
    }
}
