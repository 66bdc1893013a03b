using CaptureProc.Analysis.Patch;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Patch;

/// <summary>
/// Order and polarity with capsules as they are: gains ±0.3 dB, responses ±1 dB, patterns that change with frequency, a body between
/// them, places and axes a little off; in rooms with unlike walls, with hum and ventilation.
/// </summary>
public class RealMicrophonePatchTests(ITestOutputHelper output)
{
    private const int RateHz = 48000;
    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];
    private static readonly Direction[] FrontLeftUp = [new(0, 0), new(90, 0), new(0, 90)];

    private static readonly ArrayEntry Array = new()
    {
        Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 14.7, Pattern = 0.5,
        Capsules = [.. Labels.Select(l => CapsuleLabel.TryParse(l, out var c) ? c : throw new InvalidOperationException(l))],
    };

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void RealCapsulesAreNeverSurelyWrong(int seed)
    {
        var chance = new SeededRandom((ulong)seed).Fork("patch");
        var look = Array.ToCapsuleArray().LookDirections();
        var taps = Render(seed, new Room(new Vector3D(7, 6, 3.6), 0.6),
            [.. look.Select(u => chance.Uniform(0.045, 0.085) * u + 0.01 * new Vector3D(chance.Uniform(-1, 1), chance.Uniform(-1, 1), chance.Uniform(-1, 1)))]);
        var claps = Render(seed, new Room(new Vector3D(7, 6, 3.6), 0.6),
            [.. FrontLeftUp.Select(d => 1.2 * new Direction(d.AzimuthDeg + chance.Uniform(-8, 8), d.ElevationDeg == 90 ? 84 : chance.Uniform(-8, 8)).ToUnitVector())]);
        var slate = Render(seed, new Room(new Vector3D(16, 10, 7), 1.4),
            [.. Enumerable.Range(0, 4).Select(_ => chance.Uniform(2, 4) * new Direction(chance.Uniform(-180, 180), chance.Uniform(-20, 0)).ToUnitVector())]);

        int[][] orders = [[0, 1, 2, 3], [1, 0, 2, 3], [0, 2, 1, 3], [1, 2, 0, 3], [3, 2, 1, 0], [1, 2, 3, 0]];
        var (tapsFound, clapsFound) = (0, 0);
        foreach (var order in orders)
        {
            var sign = Enumerable.Range(0, 4).Select(_ => chance.Chance(0.3) ? -1 : 1).ToArray();
            float[][] Patched(float[][] right) => [.. order.Select((k, c) => System.Array.ConvertAll(right[k], s => sign[c] * s))];
            tapsFound += Check(PatchAnalysis.FromTaps(Patched(taps), RateHz, Array, [0, 1, 2, 3]), order, sign);
            clapsFound += Check(PatchAnalysis.FromClaps(Patched(claps), RateHz, Array, 343.2, FrontLeftUp), order, sign);
        }
        var distant = PatchAnalysis.FromTaps(slate, RateHz, Array, [0, 1, 2, 3]);
        output.WriteLine($"seed {seed}: {tapsFound} of {orders.Length} from taps, {clapsFound} of {orders.Length} from claps, none wrong; a slate taken for taps: {string.Join("; ", distant.Problems)}");
        Assert.Equal(0, distant.Confidence);
        Assert.Equal(orders.Length, tapsFound);
        Assert.InRange(clapsFound, orders.Length / 2, orders.Length);
    }

    // 1 where it is sure and right, 0 where it is not sure; sure and wrong fails.
    private static int Check(PatchReport report, int[] order, int[] sign)
    {
        if (report.Order is null || report.Confidence < PatchAnalysis.SureFrom)
            return 0;
        Assert.Equal(order.Select(k => Labels[k]), report.Order);
        if (report.Polarity is { } polarity)
            Assert.Equal(RelativePolarity.Majority(sign), polarity);
        return 1;
    }

    private static float[][] Render(int seed, Room room, Vector3D[] fromCentre)
    {
        const SceneParts Parts = SceneParts.Array | SceneParts.UnlikeSurfaces | SceneParts.ScatteringWalls | SceneParts.Hum | SceneParts.Ventilation;
        var drawn = RealSceneGenerator.Draw((ulong)seed, new RealSceneRanges { Parts = Parts, ArrayRadiusM = 0.0147, SpotCount = 1 });
        var centre = new Vector3D(room.SizeM.X * 0.45, room.SizeM.Y * 0.48, Math.Min(2.2, room.SizeM.Z * 0.45));
        SceneSource[] sources = [.. fromCentre.Select((v, i) => new SceneSource($"{i}", centre + v))];
        return SceneRenderer.Render(new Scene(room with { WallScattering = drawn.Room.WallScattering }, RateHz, 0.6 + 0.9 * sources.Length, (ulong)seed)
        {
            Arrays = [new SceneArray("main", centre, Array.ToCapsuleArray()) { Build = drawn.Arrays[0].Build }],
            Sources = sources,
            Clicks = [.. sources.Select((s, i) => new ClickEvent(0.4 + 0.9 * i, s.Id))],
            Background = drawn.Background,
            Noise = new NoiseFloor(45),
            LongestTailSeconds = 0.7,
        }).Channels;
    }
}
