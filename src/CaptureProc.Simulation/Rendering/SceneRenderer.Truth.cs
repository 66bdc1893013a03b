using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Rendering;

// What a perfect measurement would find: from the geometry alone, never from the rendered samples.
public sealed partial class SceneRenderer
{
    private SceneTruth Truth()
    {
        if (scene.Arrays.Count == 0)
            return new SceneTruth([], []);
        var array = scene.Arrays[0];
        var spots = new List<SpotTruth>();
        foreach (var spot in scene.Spots)
            spots.Add(SpotTruth.Of(scene, array, spot));

        var clicks = new List<ClickTruth>();
        var receiver = receivers[0];
        for (var i = 0; i < scene.Clicks.Count; i++)
        {
            var click = scene.Clicks[i];
            var source = scene.Source(click.SourceId);
            var arrival = click.TimeSeconds + (source.PositionM - array.CentreM).Length / scene.Room.SpeedOfSoundMps;
            var signalToNoiseDb = scene.Noise is { } noise
                ? Gain.ToDb(DirectPeak(receiver, i) / NoiseRmsInW(receiver, noise, []))
                : double.PositiveInfinity;
            clicks.Add(new ClickTruth(click, arrival, signalToNoiseDb, DirectToReverberantDb(source, receiver)));
        }
        return new SceneTruth(spots, clicks);
    }

    private double DirectToReverberantDb(SceneSource source, Receiver receiver)
    {
        var images = Arrivals(source, receiver);
        var (direct, rest) = (0.0, 0.0);
        for (var i = 0; i < images.Length; i++)
        {
            var pressure = images[i].Gain / (images[i].PositionM - receiver.CentreM).Length;
            if (i == 0)
                direct = pressure * pressure;
            else
                rest += pressure * pressure;
        }
        return 10 * Math.Log10(direct / rest);
    }
}
