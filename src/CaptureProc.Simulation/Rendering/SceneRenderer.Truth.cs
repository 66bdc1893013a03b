using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Faults;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Rendering;

// What a perfect measurement would find: from the geometry and the microphones' direct responses, never from the rendered samples.
public sealed partial class SceneRenderer
{
    private SceneTruth Truth()
    {
        if (scene.Arrays.Count == 0)
            return new SceneTruth([], []);
        var array = scene.Arrays[0];
        var spectra = new DirectSpectra(scene);
        var clicks = new List<ClickTruth>();
        var receiver = receivers[0];
        for (var i = 0; i < scene.Clicks.Count; i++)
        {
            var click = scene.Clicks[i];
            var source = PlaceOf(i);
            var arrival = click.TimeSeconds + (source.PositionM - array.CentreM).Length / scene.Room.SpeedOfSoundMps;
            var signalToNoiseDb = scene.Noise is { } noise
                ? Gain.ToDb(DirectPeak(receiver, i) / NoiseRmsInW(receiver, noise, []))
                : double.PositiveInfinity;
            clicks.Add(new ClickTruth(click, arrival, signalToNoiseDb, DirectToReverberantDb(source, receiver)) { SpotDelays = SpotDelays(i, spectra) });
        }
        var spots = new List<SpotTruth>();
        foreach (var spot in scene.Spots)
            spots.Add(Truth(spot, array, clicks, spectra));
        return new SceneTruth(spots, clicks) { FaultyCapsules = ChannelTruth.FaultyCapsules(scene) };
    }

    /// <summary>One spot over all clicks of its player; where there is none, a clap from the player's place stands for it.</summary>
    private SpotTruth Truth(SceneSpot spot, SceneArray array, List<ClickTruth> clicks, DirectSpectra spectra)
    {
        var truth = SpotTruth.Of(scene, array, spot);
        var (sum, geometric, count, least, most) = (0.0, 0.0, 0, double.PositiveInfinity, double.NegativeInfinity);
        for (var i = 0; i < clicks.Count; i++)
            if (clicks[i].SpotDelays.TryGetValue(spot.Id, out var delay))
            {
                (sum, count, least, most) = (sum + delay, count + 1, Math.Min(least, delay), Math.Max(most, delay));
                geometric += SpotTruth.Of(scene, array, spot, PlaceOf(i)).DelaySamples;
            }
        if (count == 0)
            (sum, geometric, count, least, most) = (MeantDelayOf(spot, scene.Source(spot.SourceId), StandIn, spectra), truth.DelaySamples, 1, 0, 0);
        var inverted = ChannelTruth.IsInverted(scene, spot);
        return truth with
        {
            DelaySamples = scene.IsIdeal ? truth.DelaySamples : sum / count,
            GeometricDelaySamples = geometric / count,
            DelaySpreadSamples = most - least,
            Polarity = inverted ? -truth.Polarity : truth.Polarity,
            Hindrance = ChannelTruth.Hindrance(scene, spot),
        };
    }

    private Dictionary<string, double> SpotDelays(int click, DirectSpectra spectra)
    {
        var delays = new Dictionary<string, double>();
        foreach (var spot in scene.Spots)
            if (spot.SourceId == scene.Clicks[click].SourceId)
                delays.Add(spot.Id, MeantDelayOf(spot, PlaceOf(click), clickSounds[click], spectra));
        return delays;
    }

    private double MeantDelayOf(SceneSpot spot, SceneSource place, double[] sound, DirectSpectra spectra)
    {
        var truth = SpotTruth.Of(scene, scene.Arrays[0], spot, place);
        if (scene.IsIdeal)
            return truth.DelaySamples;
        var receiver = receivers.Find(r => r.Id == spot.Id && r.SourceId is not null)!;
        var sign = spot.Inverted ? -truth.Polarity : truth.Polarity;
        return MeantDelay.Of(spectra.Power(sound), spectra.Of(receivers[0], Direct(place, receivers[0])), spectra.Of(receiver, Direct(place, receiver)),
            sign, truth.DelaySamples, scene.SampleRateHz);
    }

    /// <summary>The sound that a missing click is taken to have had.</summary>
    private double[] StandIn => ClickSounds.Make(ClickKind.Clap, scene.SampleRateHz, chance.Fork("stand-in"));

    private double DirectToReverberantDb(SceneSource source, Receiver receiver)
    {
        var arrivals = Arrivals(source, receiver);
        var images = arrivals.Images;
        var (direct, rest) = (0.0, 0.0);
        for (var i = 0; i < images.Length; i++)
        {
            var pressure = images[i].Gain / (images[i].PositionM - receiver.CentreM).Length;
            if (i < arrivals.DirectCount)
                direct += pressure;
            else
                rest += pressure * pressure;
        }
        return 10 * Math.Log10(direct * direct / rest);
    }
}
