using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Session;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.LineUp;

/// <summary>
/// The line-up in a room with capsules as they are: gains, responses and patterns unlike, a body between them. What is true of them is what an even
/// surround makes of the same microphone: 48 directions, no room.
/// </summary>
public class RealMicrophoneLineUpTests(ITestOutputHelper output)
{
    private const int RateHz = LineUpNoise.RateHz;
    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];
    private static readonly double[] RadiiMm = [10, 12, 14.7, 20, 25];

    /// <remarks>Four rooms in which it holds, against going back; over many rooms it holds for 87 of 90 levels (README, Limits).</remarks>
    [Theory]
    [InlineData(4)]
    [InlineData(18)]
    [InlineData(20)]
    [InlineData(30)]
    public void TheIntervalsOfUnlikeCapsulesHoldInTheseRooms(int seed)
    {
        var chance = new SeededRandom((ulong)seed).Fork("diffuse");
        var array = new ArrayEntry
        {
            Id = "main", Channels = [1, 2, 3, 4], RadiusMm = RadiiMm[seed % RadiiMm.Length], Pattern = 0.5,
            Capsules = [.. Labels.Select(l => CapsuleLabel.TryParse(l, out var c) ? c : throw new InvalidOperationException(l))],
        };
        var build = RealSceneGenerator.Draw((ulong)seed, new RealSceneRanges { Parts = SceneParts.Array, ArrayRadiusM = array.RadiusMm / 1000, SpotCount = 1 }).Arrays[0].Build;
        double[] gainsDb = [.. Enumerable.Range(0, 4).Select(_ => chance.Uniform(-1.2, 1.2))];
        var report = DiffuseReport.Of(Statistics(Surround(seed, array, build, gainsDb, isEven: false, chance)), array, 343.2, 0, 0.1);
        var trueDb = LevelsDb(Statistics(Surround(seed, array, build, gainsDb, isEven: true, chance)), array.RadiusMm / 1000);

        for (var c = 1; c < 4; c++)
        {
            var gain = report.Channels[c].Gain;
            output.WriteLine(FormattableString.Invariant($"channel {c + 1}: {gain.Db:0.00} ± {gain.UncertaintyDb:0.00} dB, true {trueDb[c] - trueDb[0]:0.00}{(report.IsTold(report.Channels[c]) ? ", kept" : "")}"));
            Assert.InRange(gain.Db - (trueDb[c] - trueDb[0]), -gain.UncertaintyDb, gain.UncertaintyDb);
        }
        output.WriteLine(string.Join("; ", report.Notes.Concat(report.Problems)));
    }

    private static DiffuseStatistics Statistics(float[][] heard)
    {
        var statistics = new DiffuseStatistics(RateHz, heard.Length);
        statistics.Hear(new ReadOnlyPlanarSpan(heard, 0, heard[0].Length));
        return statistics;
    }

    /// <summary>Mean level over the bands that the line-up looks at.</summary>
    private static double[] LevelsDb(DiffuseStatistics statistics, double radiusM)
    {
        int[] bands = [.. Enumerable.Range(0, statistics.Bands.Count).Where(b => statistics.Bands.CentreHz[b] > 180 && 2 * Math.PI * statistics.Bands.CentreHz[b] / 343.2 * radiusM < 1.5)];
        return [.. Enumerable.Range(0, 4).Select(c => bands.Average(b => 10 * Math.Log10(statistics.Cross(b, c, c).Real)))];
    }

    private static float[][] Surround(int seed, ArrayEntry array, MicrophoneBuild? build, double[] gainsDb, bool isEven, SeededRandom chance)
    {
        var room = new Room(new Vector3D(chance.Uniform(8, 20), chance.Uniform(7, 14), chance.Uniform(4, 9)), chance.Uniform(1, 2.5));
        var centre = 0.47 * room.SizeM;
        var count = isEven ? 48 : 3 + chance.Index(4);
        var golden = Math.PI * (3 - Math.Sqrt(5));
        SceneSource[] sources = [.. Enumerable.Range(0, count).Select(i =>
        {
            var z = 1 - (2 * i + 1.0) / count;
            var (sin, cos) = Math.SinCos(golden * i);
            var ring = Math.Sqrt(1 - z * z);
            var u = isEven ? new Vector3D(ring * cos, ring * sin, z) : new Direction(chance.Uniform(-180, 180), chance.Uniform(-15, 15)).ToUnitVector();
            return new SceneSource($"{i}", centre + (isEven ? 0.3 * room.SizeM.Z : Math.Min(3, 0.4 * room.SizeM.Y)) * u);
        })];
        var seconds = isEven ? 3.0 : 8.0;
        var heard = SceneRenderer.Render(new Scene(room, RateHz, seconds, (ulong)seed)
        {
            Arrays = [new SceneArray("main", centre, array.ToCapsuleArray()) { Build = build }],
            Sources = sources,
            Programme = [.. sources.Select(s => new ProgrammeEvent(0.1, s.Id, Pink((int)((seconds - 0.2) * RateHz), chance)))],
            Noise = new NoiseFloor(60),
            LongestTailSeconds = 0.8,
            DirectOnly = isEven,
        }).Channels;
        var peak = heard.Max(channel => channel.Max(Math.Abs));
        return [.. heard.Select((channel, c) => Array.ConvertAll(channel, s => (float)(s * 0.5 / peak * Math.Pow(10, gainsDb[c] / 20))))];
    }

    // Three low-passes and a share of white make pink from 40 Hz up to within a dB; the line-up looks at bands one by one.
    private static double[] Pink(int frames, SeededRandom chance)
    {
        var (low, middle, high) = (0.0, 0.0, 0.0);
        var pink = new double[frames];
        for (var i = 0; i < frames; i++)
        {
            var white = chance.Gaussian();
            (low, middle, high) = (0.99765 * low + 0.0990460 * white, 0.96300 * middle + 0.2965164 * white, 0.57000 * high + 1.0526913 * white);
            pink[i] = 0.05 * (low + middle + high + 0.1848 * white);
        }
        return pink;
    }
}
