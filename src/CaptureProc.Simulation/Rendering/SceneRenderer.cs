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
    private readonly List<(SceneSource Place, BlockSpectra Sound)> sounds = [];
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
            clickSounds[i] = scene.Clicks[i].Recorded is { } recorded ? (double[])recorded.Clone()
                : ClickSounds.Make(scene.Clicks[i].Kind, scene.SampleRateHz, chance.Fork($"click {i}"));
            Gain.Apply(clickSounds[i], Gain.FromDb(scene.Clicks[i].LevelDb));
        }
        if (!scene.IsIdeal)
            foreach (var receiver in receivers)
                receiver.Assemble(scene.Room, scene.SampleRateHz);
    }

    public static SceneRecording Render(Scene scene) => RenderStems(scene).Recording();

    /// <summary>Sound and noise apart, so that one scene can be heard at many ratios of the two for the price of one.</summary>
    public static SceneStems RenderStems(Scene scene) => new SceneRenderer(scene).Render();

    private SceneStems Render()
    {
        foreach (var place in Places())
            if (Sound(place) is { } sound)
                sounds.Add((place, sound));
        var (clean, noises, gains, names) = (new List<double[]>(), new List<double[]>(), new List<double>(), new List<string>());
        var passages = new List<SceneStems.ClippedPassage>();
        foreach (var receiver in receivers)
        {
            var own = RenderClean(receiver);
            var noise = Noise(receiver, own);
            for (var i = 0; i < own.Length; i++)
            {
                passages.AddRange(Clipped(receiver, clean.Count));
                clean.Add(own[i]);
                noises.Add(noise.Length == 0 ? [] : noise[i]);
                gains.Add(receiver.Gains[i]);
                names.Add(own.Length == 1 ? receiver.Id : $"{receiver.Id} {i + 1}");
            }
        }
        return new SceneStems(scene, [.. clean], [.. noises], [.. gains], [.. passages], names, Truth());
    }

    /// <summary>Where clicks and programme come from: the sources, and the places beside them to which they moved for a click.</summary>
    private IEnumerable<SceneSource> Places()
    {
        foreach (var source in scene.Sources)
            yield return source;
        for (var i = 0; i < scene.Clicks.Count; i++)
            if (scene.Clicks[i].OffsetM != default)
                yield return PlaceOf(i);
    }

    /// <summary>The source of a click, where it was at that click.</summary>
    private SceneSource PlaceOf(int click)
    {
        var (source, offset) = (scene.Source(scene.Clicks[click].SourceId), scene.Clicks[click].OffsetM);
        return offset == default ? source : source with { Id = $"{source.Id} at click {click}", PositionM = source.PositionM + offset };
    }

    /// <summary>All sources through the room into the capsules of one receiver.</summary>
    private double[][] RenderClean(Receiver receiver)
    {
        var heard = new List<(BlockSpectra Sound, SceneSource Place, Arrivals Arrivals)>();
        foreach (var (place, sound) in sounds)
            heard.Add((sound, place, Arrivals(place, receiver)));

        var own = new double[receiver.Capsules.Length][];
        for (var i = 0; i < own.Length; i++)
        {
            channelSpectra.Clear();
            foreach (var (sound, place, arrivals) in heard)
            {
                receiver.Respond(i, arrivals, scene.Room, scene.SampleRateHz, response);
                AddThroughFloor(place, receiver);
                responseSpectra.Fill(response);
                channelSpectra.AddProduct(sound, responseSpectra);
            }
            own[i] = new double[frameCount];
            channelSpectra.AddTo(own[i]);
        }
        return own;
    }

    /// <summary>Everything one source says over the whole scene, early by the reach that the responses are late.</summary>
    private BlockSpectra? Sound(SceneSource source)
    {
        var said = new double[frameCount];
        var speaks = false;
        for (var i = 0; i < clickSounds.Length; i++)
            if (PlaceOf(i).Id == source.Id)
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

    /// <summary>A spot's channel clips while its own clicks pass, before the recorder's gain.</summary>
    private IEnumerable<SceneStems.ClippedPassage> Clipped(Receiver receiver, int channel)
    {
        for (var i = 0; i < scene.Clicks.Count; i++)
        {
            if (scene.Clicks[i].ClippedByDb is not { } clippedByDb || scene.Clicks[i].SourceId != receiver.SourceId)
                continue;
            var arrival = Frame(scene.Clicks[i].TimeSeconds + (PlaceOf(i).PositionM - receiver.CentreM).Length / scene.Room.SpeedOfSoundMps);
            var start = Math.Clamp(arrival - Frame(0.002), 0, frameCount);
            yield return new SceneStems.ClippedPassage(channel, start, Math.Clamp(arrival + Frame(0.06), start, frameCount), clippedByDb);
        }
    }
}
