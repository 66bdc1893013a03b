using System.Numerics;
using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Session;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Analysis.Tests.LineUp;

/// <summary>A microphone in a room is never levelled by mistake; asked to, it is levelled as well as the surround allows.</summary>
public class RoomRefusalTests(ITestOutputHelper output)
{
    private const int RateHz = LineUpNoise.RateHz;
    private static readonly int[] Channels = [1, 2, 3, 4];
    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];

    internal static CapsuleArray Tetrahedron(double pattern = 0.5, double radiusM = 0.0147) => new(
        [.. Labels.Select(l => CapsuleLabel.TryParse(l, out var c) ? new Direction(c.AzimuthDeg, c.ElevationDeg) : default)],
        radiusM, pattern, Rotation3D.Identity);

    private static float[][] InRoom(ulong seed, double reverberationSeconds, double distanceM, CapsuleArray array, double seconds, bool freeField = false)
    {
        var chance = new SeededRandom(seed);
        var (azimuth, centre) = (chance.Uniform(0, 2 * Math.PI), new Vector3D(5.1, 4.2, 1.7));
        var source = centre + distanceM * new Vector3D(Math.Cos(azimuth), Math.Sin(azimuth), 0.1);
        var scene = new Scene(new Room(new Vector3D(11, 8.5, 4.5), reverberationSeconds), RateHz, seconds, seed)
        {
            Arrays = [new SceneArray("main", centre, array)],
            Sources = [new SceneSource("loudspeaker", source)],
            Programme = [new ProgrammeEvent(0.2, "loudspeaker", LineUpNoise.NeverRepeating((int)((seconds - 0.2) * RateHz), chance))],
            Noise = new NoiseFloor(70),
            FreeField = freeField,
        };
        var channels = SceneRenderer.Render(scene).Channels;
        // To the level of a line-up: the loudest capsule at −12 dBFS, so that nothing but the room gives it away.
        var gain = Math.Sqrt(0.5) * Math.Pow(10, -12 / 20.0) / channels.Max(c => Math.Sqrt(c.Average(s => (double)s * s)));
        return [.. channels.Select(c => Array.ConvertAll(c, s => (float)(gain * s)))];
    }

    private static LineUpReport Report(float[][] planar)
    {
        var listener = new LineUpListener(RateHz, planar.Length, Channels);
        listener.Hear(planar, 0, planar[0].Length);
        return LineUpAnalysis.Report(listener, Channels, 0, 0.1);
    }

    private static void Refuses(float[][] planar)
    {
        var report = Report(planar);
        Assert.True(report.IsRoom);
        Assert.False(report.HasTrims);
        Assert.All(report.Channels, c => Assert.Equal(LineUpWay.None, c.Gain.Way));
        Assert.Contains("--diffuse", Assert.Single(report.Problems), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1, 0.4, 0.5, 0.5)]
    [InlineData(2, 0.4, 3.0, 0.5)]
    [InlineData(3, 1.2, 1.0, 0.7)]
    [InlineData(4, 2.0, 2.0, 0.5)]
    [InlineData(5, 2.0, 0.4, 0.3)]
    [InlineData(6, 0.8, 2.0, 0.25)]
    public void PinkNoiseFromALoudspeakerInARoomIsRefused(int seed, double reverberationSeconds, double distanceM, double pattern) =>
        Refuses(InRoom((ulong)seed, reverberationSeconds, distanceM, Tetrahedron(pattern), 4));

    [Theory]
    [InlineData(7)]
    [InlineData(8)]
    public void PinkNoiseInADeadRoomIsRefused(int seed) => Refuses(InRoom((ulong)seed, 0.4, 2, Tetrahedron(), 3, freeField: true));

    // Only one capsule plugged in at a time: nothing but the roughness of the room's response tells.
    [Theory]
    [InlineData(9, 0.4, 2.0)]
    [InlineData(10, 1.5, 1.5)]
    public void OneCapsuleAfterTheOtherInARoomIsRefused(int seed, double reverberationSeconds, double distanceM)
    {
        var heard = InRoom((ulong)seed, reverberationSeconds, distanceM, Tetrahedron(), 12);
        for (var c = 0; c < 4; c++)
            for (var i = 0; i < heard[c].Length; i++)
                if (i < (0.3 + 2.9 * c) * RateHz || i > (0.3 + 2.9 * c + 2.6) * RateHz)
                    heard[c][i] *= 1e-4f;
        Refuses(heard);
    }

    // The closed form of the coherence of two capsules in a diffuse field, against sound from 400 directions: mean over the
    // sphere of s_i·s_j*, as ArrayStatistics has it (the table of pair coherences in the facts: .6644 at kr = 0.1, cardioids).
    [Theory]
    [InlineData(0.5, 0.1, 0.6644)]
    [InlineData(0.5, 1.0, 0.4684)]
    [InlineData(0.7, 0.5, 0.8280)]
    public void CoherenceOfAnEvenSurroundIsTheClosedForm(double pattern, double kr, double published)
    {
        var array = Tetrahedron(pattern);
        var model = DirectionalModel.Of(array, kr / array.RadiusM);
        Span<double> covariance = stackalloc double[16];
        new ArrayStatistics(array).DiffuseCovariance(kr / array.RadiusM, covariance);
        Assert.Equal(published, model.Coherence[0].Real, 0.001);
        Assert.Equal(covariance[1] / covariance[0], model.Coherence[0].Real, 0.001);
        Assert.Equal(0, model.Coherence[0].Imaginary, 0.001);
    }

    /// <summary>Independent pink noises from random directions, as an array of gains hears them; whole transforms, so that delays are exact.</summary>
    private static float[][] FromDirections(int count, CapsuleArray array, double[] gainsDb, SeededRandom chance)
    {
        var fft = new RealFft<double>(1 << 19);
        var look = array.LookDirections();
        var (re, im) = (look.Select(_ => new double[fft.BinCount]).ToArray(), look.Select(_ => new double[fft.BinCount]).ToArray());
        for (var n = 0; n < count; n++)
        {
            var (z, angle) = (chance.Uniform(-1, 1), chance.Uniform(0, 2 * Math.PI));
            var u = new Vector3D(Math.Sqrt(1 - z * z) * Math.Cos(angle), Math.Sqrt(1 - z * z) * Math.Sin(angle), z);
            // 150 Hz to 5.6 kHz hold all bands that are looked at.
            for (var k = 1650; k < 61000; k++)
            {
                var wave = Complex.FromPolarCoordinates(Math.Sqrt(-Math.Log(1 - chance.Uniform()) / k), chance.Uniform(0, 2 * Math.PI));
                for (var c = 0; c < look.Length; c++)
                {
                    var heard = wave * PlaneWaveResponse.Evaluate(look[c], u, array.RadiusM, array.Pattern, 2 * Math.PI * k * RateHz / (double)fft.Size / 343.2);
                    re[c][k] += heard.Real;
                    im[c][k] += heard.Imaginary;
                }
            }
        }
        return [.. look.Select((_, c) =>
        {
            var samples = new double[fft.Size];
            fft.Inverse(re[c], im[c], samples);
            return Array.ConvertAll(samples, s => (float)(2000 * s * Math.Pow(10, gainsDb[c] / 20)));
        })];
    }

    [Fact]
    public void ADiffuseFieldLineUpKnowsHowFarItCanBeTrusted()
    {
        var chance = new SeededRandom(11);
        var (held, all) = (0, 0);
        foreach (var directions in new[] { 6, 12, 40 })
        {
            var (squares, plainSquares, stated) = (0.0, 0.0, 0.0);
            const int runs = 3;
            for (var run = 0; run < runs; run++)
            {
                var array = Tetrahedron(run == 0 ? 0.7 : 0.5);
                var gainsDb = Enumerable.Range(0, 4).Select(_ => chance.Uniform(-0.6, 0.6)).ToArray();
                var statistics = new DiffuseStatistics(RateHz, 4);
                var heard = FromDirections(directions, array, gainsDb, chance);
                statistics.Hear(new Dsp.RealTime.ReadOnlyPlanarSpan(heard, 0, heard[0].Length));
                var result = DiffuseLineUp.Estimate(statistics, array, 343.2, 0)!;
                Assert.InRange(result.DirectionCount, 0.25 * directions, 4 * directions);
                for (var c = 1; c < 4; c++)
                {
                    var error = result.GainDb[c] - (gainsDb[c] - gainsDb[0]);
                    var plain = 10 * Math.Log10(heard[c].Sum(s => (double)s * s) / heard[0].Sum(s => (double)s * s)) - (gainsDb[c] - gainsDb[0]);
                    squares += error * error / (3 * runs);
                    plainSquares += plain * plain / (3 * runs);
                    stated += result.UncertaintyDb[c] / (3 * runs);
                    held += Math.Abs(error) <= result.UncertaintyDb[c] ? 1 : 0;
                    all++;
                }
            }
            output.WriteLine($"{directions} directions: error {Math.Sqrt(squares):0.000} dB rms (plain levels {Math.Sqrt(plainSquares):0.00} dB), stated ±{stated:0.000} dB");
            // What the coherences tell takes off most of what the surround does to the levels.
            Assert.True(squares < 0.1 * plainSquares);
        }
        Assert.InRange((double)held / all, 0.9, 1);
    }

    [Fact]
    public void DiffuseLineUpOfAReverberantRoomIsReportedWithItsUncertainty()
    {
        var array = Tetrahedron();
        var heard = InRoom(12, 2.0, 4.5, array, 12);
        double[] gainsDb = [0.3, -0.4, 0.1, 0];
        for (var c = 0; c < 4; c++)
            for (var i = 0; i < heard[c].Length; i++)
                heard[c][i] *= (float)Math.Pow(10, gainsDb[c] / 20);
        var statistics = new DiffuseStatistics(RateHz, 4);
        statistics.Hear(new Dsp.RealTime.ReadOnlyPlanarSpan(heard, 0, heard[0].Length));
        var entry = new ArrayEntry
        {
            Id = "main", Channels = Channels, RadiusMm = 14.7, Pattern = 0.5,
            Capsules = [.. array.Capsules.Select(d => new CapsuleEntry { AzimuthDeg = d.AzimuthDeg, ElevationDeg = d.ElevationDeg })],
        };
        var report = DiffuseReport.Of(statistics, entry, 343.2, 0, 0.1);
        Assert.True(report.HasTrims);
        for (var c = 1; c < 4; c++)
        {
            output.WriteLine($"channel {c + 1}: {report.Channels[c].Gain.Db:0.00} ± {report.Channels[c].Gain.UncertaintyDb:0.00} dB, true {gainsDb[c] - gainsDb[0]:0.00}");
            Assert.InRange(report.Channels[c].Gain.Db - (gainsDb[c] - gainsDb[0]), -report.Channels[c].Gain.UncertaintyDb, report.Channels[c].Gain.UncertaintyDb);
            Assert.InRange(report.Channels[c].Gain.UncertaintyDb, 0, 2);
        }
        Assert.NotEmpty(report.Notes);
    }

    [Fact]
    public void CablesAreNoDiffuseField()
    {
        var noise = Array.ConvertAll(LineUpNoise.Repeating(4 * RateHz, 3), s => (float)s);
        var statistics = new DiffuseStatistics(RateHz, 4);
        statistics.Hear(new Dsp.RealTime.ReadOnlyPlanarSpan([noise, noise, noise, noise], 0, noise.Length));
        var report = DiffuseReport.Of(statistics, new ArrayEntry { Channels = Channels }, 343.2, 0, 0.1);
        Assert.False(report.HasTrims);
        Assert.Contains("leave --diffuse out", Assert.Single(report.Problems), StringComparison.Ordinal);
    }
}
