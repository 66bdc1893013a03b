using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Tests.Rendering;

public sealed class SceneRendererTests
{
    private static readonly Vector3D Stand = new(6, 5, 2);
    private static readonly SceneSource Player = new("player", new Vector3D(8.5, 5, 1.2));
    private static readonly SceneSpot Spot = new("spot", "player", new Vector3D(8.1, 5.2, 1.3));

    private static readonly Scene Plain = new(new Room(new Vector3D(14, 11, 6), 1.0), 48000, 1.0, 5)
    {
        Arrays = [new SceneArray("main", Stand, new CapsuleArray(SceneGenerator.Tetrahedron, 0.0147, 0.5, Rotation3D.Identity))],
        Sources = [Player],
        Spots = [Spot],
        Clicks = [new ClickEvent(0.1, "player")],
        FreeField = true,
    };

    [Fact]
    public void WhatComesOutIsTheClickDelayedAndScaledByDistance()
    {
        // An omni spot in a free field, with the level set so that nothing but delay and 1/r is left; the common gain
        // cancels against a second spot twice as far away on the same ray.
        var scene = Plain with
        {
            Spots =
            [
                Spot with { PositionM = Player.PositionM - new Vector3D(0.5, 0, 0), Pattern = 1 },
                Spot with { Id = "far", PositionM = Player.PositionM - new Vector3D(1.0, 0, 0), Pattern = 1 },
            ],
        };
        var recording = SceneRenderer.Render(scene);
        var (near, far) = (recording.Channels[4], recording.Channels[5]);
        // 0.5 m is 69.93 samples at 343.2 m/s: the far channel is the near one, later by as much and half as loud.
        var shifted = new double[near.Length];
        for (var i = 4000; i < 7000; i++)
            BandLimitedImpulse.Add(shifted, i + 0.5 / 343.2 * 48000, near[i] / 2);
        for (var i = 4200; i < 6800; i++)
            Assert.Equal(shifted[i], far[i], 2e-5);
        Assert.Equal(70 * 0.999, recording.Truth.Spots[0].DelaySamples - recording.Truth.Spots[1].DelaySamples, 0.01);
    }

    [Fact]
    public void TruthIsGeometry()
    {
        var truth = SceneRenderer.Render(Plain with { Spots = [Spot with { Inverted = true, LevelOffsetDb = -4 }] }).Truth;
        var spot = truth.Spot("spot");
        // Source 2.5 m ahead and 0.8 m below: √(6.25+0.64) = 2.624881 m; spot at √(0.16+0.04+0.01) = 0.458258 m.
        Assert.Equal(2.624881, spot.ArrayDistanceM, 6);
        Assert.Equal(0.458258, spot.SpotDistanceM, 6);
        Assert.Equal((2.624881 - 0.458258) / 343.2 * 48000, spot.GeometricDelaySamples, 3);
        // The spot's proximity rise turns phases below a kilohertz: a few hundredths of a sample of the delay that is meant.
        Assert.InRange(Math.Abs(spot.DelaySamples - spot.GeometricDelaySamples), 0.001, 0.1);
        Assert.Equal(0, spot.Direction.AzimuthDeg, 9);
        Assert.Equal(-17.7447, spot.Direction.ElevationDeg, 3);
        Assert.Equal(-1, spot.Polarity);
        Assert.Equal(20 * Math.Log10(2.624881 / 0.458258) - 4, spot.DirectOverArrayDb, 4);
        Assert.Equal(0.1 + 2.624881 / 343.2, Assert.Single(truth.Clicks).ArrivalSeconds, 6);
    }

    [Fact]
    public void GainErrorsPolarityAndLevelReachTheirChannels()
    {
        var plain = SceneRenderer.Render(Plain);
        var array = Plain.Arrays[0] with { GainErrorsDb = [0, 1, -2, 0.5] };
        var changed = SceneRenderer.Render(Plain with { Arrays = [array], Spots = [Spot with { Inverted = true, LevelOffsetDb = -6 }] });
        double[] expectedDb = [0, 1, -2, 0.5, -6];
        var common = changed.Channels[0][5100] / plain.Channels[0][5100];
        for (var c = 0; c < 5; c++)
        {
            var sign = c == 4 ? -1 : 1;
            for (var i = 4850; i < 5200; i += 7)
                Assert.Equal(plain.Channels[c][i] * common * sign * Gain.FromDb(expectedDb[c]), changed.Channels[c][i], 1e-5);
        }
    }

    [Theory]
    [InlineData(45, 0)]
    [InlineData(20, 0)]
    [InlineData(20, 0.6)]
    public void NoiseStandsWhereItWasAskedToStand(double wantedDb, double pinkShare)
    {
        // The last two seconds of the scene are noise alone. For a plain matrix W is the sum of the capsules over 4α: half the sum.
        var scene = Plain with { DurationSeconds = 3, Noise = new NoiseFloor(wantedDb, pinkShare) };
        var recording = SceneRenderer.Render(scene);
        var silent = SceneRenderer.Render(scene with { Noise = null });
        var (w, clean) = (Sum(recording), Sum(silent));

        // The direct click in W, capsules at a centimetre apart summed: within some percent of the peak at the centre.
        var snrDb = 20 * Math.Log10(Peak.Of(clean) / Rms(w.AsSpan(48000)) * RatioOfScales());
        Assert.Equal(wantedDb, snrDb, 1.0);
        Assert.Equal(wantedDb, recording.Truth.Clicks[0].SignalToNoiseDb, 6);

        var spotPeak = Peak.Of(Array.ConvertAll(silent.Channels[4], x => (double)x)) * RatioOfScales();
        var spotNoise = Rms(Array.ConvertAll(recording.Channels[4], x => (double)x).AsSpan(48000));
        Assert.Equal(wantedDb, 20 * Math.Log10(spotPeak / spotNoise), 0.5);

        double RatioOfScales()
        {
            // Both recordings have a common gain of their own; the correlation of one channel gives the ratio of the two.
            var (cross, own) = (0.0, 0.0);
            for (var i = 0; i < 12000; i++)
            {
                cross += (double)recording.Channels[4][i] * silent.Channels[4][i];
                own += (double)silent.Channels[4][i] * silent.Channels[4][i];
            }
            return cross / own;
        }

        static double[] Sum(SceneRecording recording)
        {
            var sum = new double[recording.FrameCount];
            for (var i = 0; i < sum.Length; i++)
                for (var c = 0; c < 4; c++)
                    sum[i] += recording.Channels[c][i] * 0.5;
            return sum;
        }

        static double Rms(ReadOnlySpan<double> samples)
        {
            var square = 0.0;
            foreach (var sample in samples)
                square += sample * sample;
            return Math.Sqrt(square / samples.Length);
        }
    }

    [Fact]
    public void AClippedClickHasAFlatTopInItsOwnSpotOnly()
    {
        var other = new SceneSource("other", new Vector3D(4, 6, 1.2));
        var scene = Plain with
        {
            FreeField = false,
            Sources = [Player, other],
            Spots = [Spot, new SceneSpot("spot 2", "other", new Vector3D(4.3, 6.2, 1.4))],
            Clicks = [new ClickEvent(0.1, "player") { ClippedByDb = 8 }],
        };
        var recording = SceneRenderer.Render(scene);
        var clean = SceneRenderer.Render(scene with { Clicks = [new ClickEvent(0.1, "player")] });
        Assert.Equal(8, PeakOverDb(clean, 4, 0) - PeakOverDb(recording, 4, 0), 0.01);
        Assert.True(AtTop(recording.Channels[4]) >= 4, $"{AtTop(recording.Channels[4])} samples at the top");
        Assert.Equal(1, AtTop(recording.Channels[5]));

        static double PeakOverDb(SceneRecording recording, int channel, int reference) => 20 * Math.Log10(
            recording.Channels[channel].Max(Math.Abs) / recording.Channels[reference].Max(Math.Abs));

        static int AtTop(float[] channel)
        {
            var peak = channel.Max(Math.Abs);
            return channel.Count(sample => Math.Abs(sample) > 0.99999 * peak);
        }
    }

    [Fact]
    public void EverySpotHearsEveryClap()
    {
        var scene = SceneGenerator.Draw(21, new SceneRanges { SpotCount = 3 });
        var recording = SceneRenderer.Render(scene with { Noise = null });
        foreach (var click in recording.Truth.Clicks)
            for (var c = 0; c < recording.Channels.Length; c++)
            {
                var start = (int)(click.Click.TimeSeconds * 48000);
                var heard = recording.Channels[c].AsSpan(start, 4800);
                Assert.True(heard.ToArray().Max(Math.Abs) > 1e-4, $"channel {c + 1}, click at {click.Click.TimeSeconds:0.00} s");
            }
    }

    [Fact]
    public void DirectToReverberantRatioFollowsTheCriticalDistance()
    {
        // 10 lg(r_c²/d²) with r_c = √(Q·A/16π), here an even source and an omni place: Bies, Kuttruff (read via phonometry).
        // Before the mixing time the lattice differs from the mean field by a decibel or two for a single pair of places.
        var scene = Plain with { FreeField = false, LongestTailSeconds = 2, Room = Plain.Room with { } };
        var absorption = 24 * Math.Log(10) * scene.Room.VolumeM3 / (343.2 * 1.0);
        var expectedDb = 10 * Math.Log10(absorption / (16 * Math.PI) / (2.624881 * 2.624881));
        Assert.Equal(expectedDb, SceneRenderer.Render(scene).Truth.Clicks[0].DirectToReverberantDb, 2.0);
    }

    [Fact]
    public void ProgrammeGoesThroughTheSameAir()
    {
        var impulse = new double[400];
        BandLimitedImpulse.Add(impulse, 200, 1);
        var recording = SceneRenderer.Render(Plain with { Clicks = [], Programme = [new ProgrammeEvent(0.5, "player", impulse)] });
        // 24000 + 200 + 0.458258 m · 139.860 samples a metre.
        var channel = recording.Channels[4];
        var peak = Array.IndexOf(channel, channel.Max());
        Assert.InRange(peak - (24200 + 0.458258 * 139.860), -0.75, 0.75);
    }
}
