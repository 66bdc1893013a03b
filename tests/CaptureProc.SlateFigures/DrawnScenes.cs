using System.Collections.Concurrent;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Tests.Shared;

namespace CaptureProc.SlateFigures;

/// <summary>Slates of drawn scenes, each heard at several ratios of signal to noise.</summary>
internal static class DrawnScenes
{
    public static IReadOnlyDictionary<double, List<Figure>> Measure(
        ulong firstSeed, int scenes, RealSceneRanges ranges, IReadOnlyList<RecordedClap> claps, IReadOnlyList<double> ratiosDb)
    {
        var found = new ConcurrentBag<(double Db, Figure Figure)>();
        ranges = ranges with { RecordedClaps = [.. claps.Select(c => new RecordedSound(c.Name, c.Samples, 48000))] };
        Parallel.For(0, scenes, i =>
        {
            var seed = firstSeed + (ulong)i;
            var scene = RealSceneGenerator.Draw(seed, ranges);
            var stems = SceneRenderer.RenderStems(scene);
            foreach (var db in ratiosDb)
            {
                var recording = stems.At(db);
                var result = new SlateMeasurement(new MemorySource(recording.Channels), Describe(scene)).Measure();
                foreach (var spot in result.Spots)
                {
                    var truth = recording.Truth.Spot(spot.Id);
                    if (truth.Hindrance is not null)
                        continue;
                    // A source that moved between claps has no one delay; what is right lies between its claps'.
                    var isMeant = spot.DelaySamples is not { } d || truth.DelaySpreadSamples == 0;
                    var delay = isMeant ? truth.DelaySamples
                        : Math.Clamp(spot.DelaySamples!.Value, truth.DelaySamples - 0.5 * truth.DelaySpreadSamples, truth.DelaySamples + 0.5 * truth.DelaySpreadSamples);
                    var deg = spot.Direction is { } u && truth.DelaySpreadSamples == 0 ? Direction.AngleBetweenDeg(Direction.Of(u), truth.Direction) : double.NaN;
                    found.Add((db, new Figure($"seed {seed} {spot.Id}", delay, spot, deg, truth.Polarity)));
                }
            }
        });
        return ratiosDb.ToDictionary(db => db, db => found.Where(f => f.Db == db).Select(f => f.Figure).ToList());
    }

    private static SlateInput Describe(Scene scene)
    {
        var spots = new List<SpotInput>();
        var channel = 4;
        foreach (var spot in scene.Spots)
        {
            var count = spot.Capsules?.Capsules.Count ?? 1;
            spots.Add(new SpotInput(spot.Id, Set(channel, count), spot.Capsules));
            channel += count;
        }
        return new SlateInput(scene.SampleRateHz, scene.Room.SpeedOfSoundMps, scene.Arrays[0].Capsules, Set(0, 4), spots);
    }

    private static ChannelSet Set(int first, int count) => new([.. Enumerable.Range(first, count)], [.. Enumerable.Repeat(1.0, count)]);
}
