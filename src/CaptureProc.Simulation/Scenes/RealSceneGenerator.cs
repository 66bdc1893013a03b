using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Scenes;

/// <summary>Draws scenes with microphones, claps and rooms as they are.</summary>
/// <remarks>
/// Thread: [any]. The same seed and ranges give the same scene. An ideal scene comes first; then every part that is switched on changes it
/// by a stream of chance of its own, so that a part alone does what it does among all others.
/// Ranges that name no source are common practice without one.
/// </remarks>
public static partial class RealSceneGenerator
{
    public static Scene Draw(ulong seed, RealSceneRanges ranges)
    {
        var chance = new SeededRandom(seed).Fork("real scene");
        double[] radiiM = [0.010, 0.012, 0.015, 0.020, 0.025];
        var scene = SceneGenerator.Draw(seed, new SceneRanges
        {
            SampleRateHz = ranges.SampleRateHz,
            SpotCount = ranges.SpotCount,
            SignalToNoiseDb = ranges.SignalToNoiseDb,
            ShortestReverberationSeconds = ranges.ShortestReverberationSeconds,
            LongestReverberationSeconds = ranges.LongestReverberationSeconds,
            NearestClickM = ranges.NearestClapM,
            FarthestClickM = ranges.FarthestClapM,
            ArrayRadiusM = ranges.ArrayRadiusM ?? radiiM[chance.Index(radiiM.Length)],
            InvertedShare = ranges.InvertedShare,
            SecondsBetweenClicks = ranges.SecondsBetweenClaps,
            TetrahedralSpotShare = ranges.TetrahedralSpotShare,
        });
        // A first clap too early would leave no pause for the background to be heard.
        scene = scene with { LongestTailSeconds = ranges.LongestTailSeconds };
        var drawing = new Drawing(ranges, chance);
        scene = WithClaps(scene, drawing);
        scene = WithRoom(scene, drawing);
        scene = WithSpots(scene, drawing);
        scene = WithArray(scene, drawing);
        scene = WithDisturbances(scene, drawing);
        scene = WithFaults(scene, drawing);
        return LevelledClaps(scene);
    }

    /// <summary>What is switched on, and a stream of chance for each of it.</summary>
    private sealed record Drawing(RealSceneRanges Ranges, SeededRandom Chance)
    {
        public bool Has(SceneParts part, out SeededRandom own)
        {
            own = Chance.Fork(part.ToString());
            return (Ranges.Parts & part) != 0;
        }
    }

    /// <summary>Every clap as loud as it takes to reach the array with the same direct pressure.</summary>
    private static Scene LevelledClaps(Scene scene)
    {
        var centre = scene.Arrays[0].CentreM;
        return scene with
        {
            Clicks = [.. scene.Clicks.Select(click =>
            {
                var source = scene.Source(click.SourceId);
                var path = centre - source.PositionM - click.OffsetM;
                return click with { LevelDb = click.LevelDb + Gain.ToDb(path.Length / source.Radiation.Towards(path)) };
            })],
        };
    }

    private static double SpreadLog(SeededRandom chance, double low, double high) => low * Math.Pow(high / low, chance.Uniform());

    private static Vector3D AnyDirection(SeededRandom chance) =>
        new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian()).Normalised();
}
