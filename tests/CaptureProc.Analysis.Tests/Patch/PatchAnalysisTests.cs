using CaptureProc.Analysis.Patch;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.Patch;

public class PatchAnalysisTests(ITestOutputHelper output)
{
    private const int RateHz = 48000;
    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];
    private static readonly Direction[] FrontLeftUp = [new(0, 0), new(90, 0), new(0, 90)];

    private static ArrayEntry Array(double pitchDeg = 0, double rollDeg = 0) => new()
    {
        Id = "main", Channels = [1, 2, 3, 4], RadiusMm = 14.7, Pattern = 0.5, Mount = new MountEntry { PitchDeg = pitchDeg, RollDeg = rollDeg },
        Capsules = [.. Labels.Select(l => CapsuleLabel.TryParse(l, out var c) ? c : throw new InvalidOperationException(l))],
    };

    // Three claps 1.2 m from the array, from nearly the stated directions, in a room of 0.6 s, 20 dB above the noise.
    private static float[][] Claps(ulong seed, ArrayEntry array)
    {
        var chance = new SeededRandom(seed);
        var centre = new Vector3D(3.4, 2.9, 1.6);
        var sources = FrontLeftUp.Select((d, i) => new SceneSource($"clap {i}", centre + 1.2 * new Direction(
            d.AzimuthDeg + chance.Uniform(-8, 8), d.ElevationDeg == 90 ? chance.Uniform(80, 90) : chance.Uniform(-8, 8)).ToUnitVector())).ToArray();
        var scene = new Scene(new Room(new Vector3D(7, 6, 3.6), 0.6), RateHz, 3.5, seed)
        {
            Arrays = [new SceneArray("main", centre, array.ToCapsuleArray())],
            Sources = sources,
            Clicks = [.. sources.Select((s, i) => new ClickEvent(0.4 + i, s.Id))],
            Noise = new NoiseFloor(20),
        };
        return SceneRenderer.Render(scene).Channels;
    }

    private static (int Right, int Unsure) WeighAll(float[][] right, ArrayEntry array, IReadOnlyCollection<int[]> signs)
    {
        var (found, unsure) = (0, 0);
        foreach (var order in PatchLikelihood.All.Select(p => p.Capsule).DistinctBy(o => string.Join(',', o)))
        {
            foreach (var sign in signs)
            {
                float[][] patched = [.. order.Select((capsule, c) => System.Array.ConvertAll(right[capsule], s => sign[c] * s))];
                var report = PatchAnalysis.FromClaps(patched, RateHz, array, 343.2, FrontLeftUp);
                if (report.Confidence < PatchAnalysis.SureFrom)
                {
                    unsure++;
                    continue;
                }
                // Sure has to be right: in the order, and in every relative polarity.
                Assert.Equal(order.Select(k => Labels[k]), report.Order);
                Assert.All(sign.Zip(report.Polarity!), p => Assert.Equal(sign[0] * p.First, report.Polarity![0] * p.Second));
                found++;
            }
        }
        return (found, unsure);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void All384CombinationsAreFoundFromThreeClapsOrCalledUnsure(int seed)
    {
        var array = Array();
        int[][] signs = [.. Enumerable.Range(0, 16).Select(b => Enumerable.Range(0, 4).Select(c => (b >> c & 1) == 0 ? 1 : -1).ToArray())];
        var (found, unsure) = WeighAll(Claps((ulong)seed, array), array, signs);
        output.WriteLine($"seed {seed}: {found} of 384 found, {unsure} unsure, none wrong");
        Assert.Equal(384, found + unsure);
        Assert.True(found > 192);
    }

    [Theory]
    [InlineData(3, 0, 0)]
    [InlineData(4, 0, 0)]
    [InlineData(5, 0, 180)]
    [InlineData(6, 90, 0)]
    [InlineData(7, -90, 0)]
    [InlineData(8, 0, 180)]
    public void UprightHangingAndHorizontalMountsAreNeverWrongAndSure(int seed, double pitchDeg, double rollDeg)
    {
        var array = Array(pitchDeg, rollDeg);
        var (found, unsure) = WeighAll(Claps((ulong)seed, array), array, [[1, 1, 1, 1]]);
        output.WriteLine($"seed {seed}, pitch {pitchDeg}, roll {rollDeg}: {found} of 24 found, {unsure} unsure");
        Assert.Equal(24, found + unsure);
    }

    [Fact]
    public void SwapsAndInvertedChannelsAreSaidInWords()
    {
        var right = Claps(1, Array());
        var report = PatchAnalysis.FromClaps([right[0], right[2], right[1], System.Array.ConvertAll(right[3], s => -s)], RateHz, Array(), 343.2, FrontLeftUp);
        Assert.Contains(report.Problems, p => p.Contains("swap the cables of channels 2 and 3", StringComparison.Ordinal));
        Assert.Contains(report.Problems, p => p.StartsWith("channel 4 is inverted", StringComparison.Ordinal));
        Assert.False(report.IsOk);
    }

    // A tap is a short sound three to seven centimetres in front of a capsule, held there by hand.
    private static float[][] Taps(ulong seed, ArrayEntry array)
    {
        var (chance, centre) = (new SeededRandom(seed), new Vector3D(3, 3, 1.5));
        Vector3D Offset() => 0.01 * new Vector3D(chance.Uniform(-1, 1), chance.Uniform(-1, 1), chance.Uniform(-1, 1));
        var sources = array.ToCapsuleArray().LookDirections().Select((u, i) => new SceneSource($"tap {i}", centre + chance.Uniform(0.045, 0.085) * u + Offset())).ToArray();
        return SceneRenderer.Render(new Scene(new Room(new Vector3D(7, 6, 3.6), 0.6), RateHz, 4.5, seed)
        {
            Arrays = [new SceneArray("main", centre, array.ToCapsuleArray())],
            Sources = sources,
            Clicks = [.. sources.Select((s, i) => new ClickEvent(0.4 + i, s.Id))],
            Noise = new NoiseFloor(40),
        }).Channels;
    }

    [Theory]
    [InlineData(9, 0.5)]
    [InlineData(10, 0.5)]
    [InlineData(11, 0.7)]
    [InlineData(12, 0.37)]
    public void EveryOrderAndEveryPolarityIsFoundFromTapsAtTheCapsules(int seed, double pattern)
    {
        var (array, chance) = (Array() with { Pattern = pattern }, new Random(seed));
        var right = Taps((ulong)seed, array);
        var orders = PatchLikelihood.All.Select(p => p.Capsule).DistinctBy(o => string.Join(',', o)).ToList();
        // Levels tell the order and signs the polarity, so each is gone through once, beside a chance choice of the other.
        foreach (var (order, bits) in orders.Select(o => (o, chance.Next(16))).Concat(Enumerable.Range(0, 16).Select(b => (orders[chance.Next(24)], b))))
        {
            var sign = Enumerable.Range(0, 4).Select(c => (bits >> c & 1) == 0 ? 1 : -1).ToArray();
            var report = PatchAnalysis.FromTaps([.. order.Select((k, c) => System.Array.ConvertAll(right[k], s => sign[c] * s))], RateHz, array, [0, 1, 2, 3]);
            Assert.Equal(order.Select(k => Labels[k]), report.Order);
            Assert.True(report.Confidence >= PatchAnalysis.SureFrom);
            Assert.Equal(RelativePolarity.Majority(sign), report.Polarity);
        }
    }

    [Fact]
    public void TapsInADeadRoomStillTellThePolarity()
    {
        // Without a room's answer there are only the taps themselves.
        var right = Taps(13, Array());
        float[][] dry = [.. right.Select(channel => channel.Select((s, n) => (n - 0.4 * RateHz) % RateHz is >= -20 and < 0.004 * RateHz ? s : 1e-6f * (n * 7919 % 13 - 6)).ToArray())];
        dry[2] = System.Array.ConvertAll(dry[2], s => -s);
        Assert.Equal([1, 1, -1, 1], PatchAnalysis.FromTaps(dry, RateHz, Array(), [0, 1, 2, 3]).Polarity!);
    }

    // Gains are turned after the patch as often as before it.
    [Fact]
    public void TapsAreReadAtAnyGains()
    {
        var right = Taps(9, Array());
        double[] gainsDb = [0, 9, -6, 4];
        var report = PatchAnalysis.FromTaps([.. right.Select((c, i) => System.Array.ConvertAll(c, s => (float)(s * Math.Pow(10, (gainsDb[i] - 9) / 20))))], RateHz, Array(), [0, 1, 2, 3]);
        Assert.Equal(Labels, report.Order);
        Assert.True(report.IsOk);
    }

    // A slate for the spots: people some metres away, in a hall.
    private static float[][] Slate(ulong seed, int claps)
    {
        var chance = new SeededRandom(seed);
        var centre = new Vector3D(7, 5, 2.2);
        SceneSource[] sources = [.. Enumerable.Range(0, claps).Select(i => new SceneSource($"player {i}", centre + chance.Uniform(2, 4.5) * new Direction(chance.Uniform(-180, 180), chance.Uniform(-25, 5)).ToUnitVector()))];
        return SceneRenderer.Render(new Scene(new Room(new Vector3D(16, 10, 7), 1.4), RateHz, 0.6 + 0.9 * claps, seed)
        {
            Arrays = [new SceneArray("main", centre, Array().ToCapsuleArray())],
            Sources = sources,
            Clicks = [.. sources.Select((s, i) => new ClickEvent(0.4 + 0.9 * i, s.Id) { LevelDb = chance.Uniform(-4, 0) })],
            Noise = new NoiseFloor(45),
            LongestTailSeconds = 0.8,
        }).Channels;
    }

    [Theory]
    [InlineData(31)]
    [InlineData(32)]
    [InlineData(33)]
    public void ASlateOfDistantClapsIsTakenForNoTaps(int seed)
    {
        var report = PatchAnalysis.FromTaps(Slate((ulong)seed, 4), RateHz, Array(), [0, 1, 2, 3]);
        Assert.Null(report.Order);
        Assert.Equal(0, report.Confidence);
        Assert.Contains("no tap near one capsule", Assert.Single(report.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public void AWrongNumberOfSoundsIsRefusedWithTheirTimes()
    {
        var slate = Slate(34, 8);
        foreach (var report in new[] { PatchAnalysis.FromClaps(slate, RateHz, Array(), 343.2, [new(0, 0), new(90, 0)]), PatchAnalysis.FromTaps(slate, RateHz, Array(), [0, 1, 2, 3]) })
        {
            Assert.Equal((null, 0.0), (report.Order, report.Confidence));
            Assert.Contains("8 sudden sounds of like strength", Assert.Single(report.Problems), StringComparison.Ordinal);
            Assert.Contains("0.41 s", report.Problems[0], StringComparison.Ordinal);
        }
    }

    [Fact]
    public void ClapsFromElsewhereThanSaidAreNeverSure()
    {
        var sure = 0;
        for (var seed = 40UL; seed < 52; seed++)
        {
            var report = PatchAnalysis.FromClaps(Slate(seed, 3), RateHz, Array(), 343.2, FrontLeftUp);
            sure += report.Confidence >= PatchAnalysis.SureFrom ? 1 : 0;
        }
        Assert.Equal(0, sure);
    }

    [Fact]
    public void TapsAreNoClapsAtADistance()
    {
        var report = PatchAnalysis.FromClaps(Taps(9, Array()), RateHz, Array(), 343.2, [new(0, 0), new(90, 0), new(180, 0), new(0, 90)]);
        Assert.Null(report.Order);
        Assert.Contains("leave --claps out", Assert.Single(report.Problems), StringComparison.Ordinal);
    }

    // The group of a tetrahedron: 24 permutations of its corners, of which the 12 even ones are turns (any book on point groups: T in T_d).
    [Fact]
    public void TwelveOfTheTwentyFourOrdersAreATurnedMicrophoneAndAreSaidSoFirst()
    {
        var right = Claps(1, Array());
        var look = Array().ToCapsuleArray().LookDirections();
        var turned = 0;
        foreach (var order in PatchLikelihood.All.Select(p => p.Capsule).DistinctBy(o => string.Join(',', o)))
        {
            var isEven = Enumerable.Range(0, 4).Sum(i => Enumerable.Range(0, i).Count(j => order[j] > order[i])) % 2 == 0;
            Assert.Equal(isEven, TurnedMicrophone.Find(look, order) is not null);
            if (!isEven)
                continue;
            turned++;
            // The mount that is named puts every capsule where it was heard.
            var mount = TurnedMicrophone.Mount(new MountEntry(), TurnedMicrophone.Find(look, order)!.Value).ToRotation();
            for (var c = 0; c < 4; c++)
                Assert.InRange(Direction.AngleBetweenDeg(Direction.Of(mount.Apply(look[c])), Direction.Of(look[order[c]])), 0, 1);
            var report = PatchAnalysis.FromClaps([.. order.Select(k => right[k])], RateHz, Array(), 343.2, FrontLeftUp);
            if (report.Confidence < PatchAnalysis.SureFrom || order.SequenceEqual([0, 1, 2, 3]))
                continue;
            Assert.StartsWith("look at the microphone first", report.Problems[0], StringComparison.Ordinal);
            Assert.Contains("swap the cables", report.Problems[0], StringComparison.Ordinal);
        }
        Assert.Equal(12, turned);
    }

    [Fact]
    public void AMicrophoneThatHangsWhereTheSessionSaysItStandsIsSaidToHang()
    {
        var report = PatchAnalysis.FromClaps(Claps(1, Array(rollDeg: 180)), RateHz, Array(), 343.2, FrontLeftUp);
        Assert.Contains("hangs head down (mount 0,0,180)", Assert.Single(report.Problems), StringComparison.Ordinal);
        var lying = PatchAnalysis.FromClaps(Claps(1, Array(pitchDeg: -90)), RateHz, Array(), 343.2, FrontLeftUp);
        Assert.Contains("lies with its top to the front", Assert.Single(lying.Problems), StringComparison.Ordinal);
    }

    private static float[][] Ambience(ulong seed)
    {
        var chance = new SeededRandom(seed);
        var centre = new Vector3D(8, 5, 1.8);
        Vector3D[] places = [new(2, 2, 1.2), new(13, 3, 1.5), new(4, 8, 1.1), new(11, 9, 2.5)];
        var scene = new Scene(new Room(new Vector3D(15, 11, 5), 1.2), RateHz, 6, seed)
        {
            Arrays = [new SceneArray("main", centre, Array().ToCapsuleArray())],
            Sources = [.. places.Select((p, i) => new SceneSource($"{i}", p))],
            Programme = [.. places.Select((_, i) => new ProgrammeEvent(0, $"{i}", LineUp.LineUpNoise.NeverRepeating(6 * RateHz, chance)))],
        };
        return SceneRenderer.Render(scene).Channels;
    }

    [Fact]
    public void AmbienceAloneTellsInvertedDeadAndDoubledChannels()
    {
        var heard = Ambience(10);
        Assert.True(PatchAnalysis.FromAmbience(heard, RateHz, Array()).IsOk);
        for (var channel = 0; channel < 4; channel++)
        {
            var inverted = (float[][])heard.Clone();
            inverted[channel] = System.Array.ConvertAll(heard[channel], s => -s);
            Assert.Contains($"channel {channel + 1} is inverted", Assert.Single(PatchAnalysis.FromAmbience(inverted, RateHz, Array()).Problems), StringComparison.Ordinal);
            var dead = (float[][])heard.Clone();
            dead[channel] = System.Array.ConvertAll(heard[channel], s => 1e-3f * s);
            Assert.Contains($"channel {channel + 1} is dead", Assert.Single(PatchAnalysis.FromAmbience(dead, RateHz, Array()).Problems), StringComparison.Ordinal);
        }
        Assert.Contains("channels 1 and 3 carry one signal",
            Assert.Single(PatchAnalysis.FromAmbience([heard[0], heard[1], heard[0], heard[3]], RateHz, Array()).Problems), StringComparison.Ordinal);
    }

    [Fact]
    public void SilenceIsSaidAndNothingIsGuessed()
    {
        float[][] silence = [new float[RateHz], new float[RateHz], new float[RateHz], new float[RateHz]];
        var report = PatchAnalysis.FromClaps(silence, RateHz, Array(), 343.2, FrontLeftUp);
        Assert.Null(report.Order);
        Assert.Contains(report.Problems, p => p.Contains("only 0 are heard", StringComparison.Ordinal));
    }
}
