using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Sources;

namespace CaptureProc.Simulation.Tests.Rendering;

public sealed class RealMicrophoneTests
{
    private const double RateHz = 48000;
    private static readonly Vector3D Stand = new(6, 5, 2);
    private static readonly SceneSource Player = new("player", new Vector3D(8.5, 5, 1.2));
    private static readonly SceneArray Main = new("main", Stand, new CapsuleArray(SceneGenerator.Tetrahedron, 0.015, 0.5, Rotation3D.Identity));
    private static readonly SceneSpot Omni = new("spot", "player", new Vector3D(8.0, 5, 1.2)) { Pattern = 1 };

    /// <summary>An impulse in free air: what comes out is the microphones' responses.</summary>
    private static readonly Scene Impulse = new(new Room(new Vector3D(14, 11, 6), 1.0), RateHz, 0.4, 5)
    {
        Arrays = [Main],
        Sources = [Player],
        Spots = [Omni],
        Programme = [new ProgrammeEvent(0.05, "player", Pulse())],
        FreeField = true,
    };

    [Fact]
    public void EmptyBuildsAreIdealMicrophones()
    {
        var ideal = SceneRenderer.Render(Impulse);
        var built = SceneRenderer.Render(Impulse with
        {
            Arrays = [Main with { Build = new MicrophoneBuild() }],
            Spots = [Omni with { Build = new MicrophoneBuild() }],
        });
        for (var c = 0; c < ideal.Channels.Length; c++)
            for (var i = 2400; i < 6000; i++)
                Assert.Equal(ideal.Channels[c][i], built.Channels[c][i], 1e-6f);
    }

    [Fact]
    public void TheBodyAddsWhatItsSeriesSays()
    {
        var bare = SceneRenderer.Render(Impulse with { Arrays = [Main with { Build = new MicrophoneBuild() }] });
        var bodied = SceneRenderer.Render(Impulse with { Arrays = [Main with { Build = new MicrophoneBuild { BodyRadiusM = 0.009 } }] });
        var common = Spectrum(bodied.Channels[4], 1000).Magnitude / Spectrum(bare.Channels[4], 1000).Magnitude;
        var looks = Main.Capsules.LookDirections();
        var path = Player.PositionM - Stand;
        for (var capsule = 0; capsule < 4; capsule++)
            foreach (var hz in (double[])[1000, 4000, 9000, 15000])
            {
                var k = 2 * Math.PI * hz / 343.2;
                var cosine = Vector3D.Dot(path.Normalised(), looks[capsule]);
                var factors = new Complex[12];
                RigidSphere.Scattered(k, 0.009, 0.015, 0.5, factors);
                var (scattered, previous, legendre) = (Complex.Zero, 0.0, 1.0);
                for (var n = 0; n < factors.Length; n++)
                {
                    scattered += factors[n] * legendre;
                    (previous, legendre) = (legendre, ((2 * n + 1) * cosine * legendre - n * previous) / (n + 1));
                }
                var heard = Spectrum(bodied.Channels[capsule], hz) / Spectrum(bare.Channels[capsule], hz) / common;
                var plane = (0.5 + 0.5 * cosine) * Complex.FromPolarCoordinates(1, k * 0.015 * cosine);
                // The wave from 2.6 m is plane to some parts in a thousand, and its axis angle is that of each capsule's own place.
                Assert.InRange((heard - (1 + scattered / plane)).Magnitude * plane.Magnitude, 0, 0.01);
            }
    }

    [Fact]
    public void APatternThatTurnsOmniHearsTheSideAsLoudAsTheFrontInTheBass()
    {
        var side = Omni with { Pattern = 0.5, Aim = Vector3D.Up };
        var spot = side with { Build = new MicrophoneBuild { Capsules = [new CapsuleBuild { OmniBelowHz = 100 }] } };
        var recording = SceneRenderer.Render(Impulse with { Spots = [Omni, spot], DurationSeconds = 1 });
        // From the side a cardioid is at −6 dB and has no proximity rise; α + (1 − α)/(1 + jf/100 Hz) is what a first-order change leaves.
        foreach (var hz in (double[])[20, 100, 1000, 8000])
        {
            var expected = 0.5 + 0.5 / new Complex(1, hz / 100);
            var heard = Spectrum(recording.Channels[5], hz) / Spectrum(recording.Channels[4], hz);
            Assert.InRange((heard - expected).Magnitude, 0, hz < 5000 ? 0.005 : 0.02);
        }
    }

    [Theory]
    [InlineData(0.15)]
    [InlineData(0.3)]
    public void ABoardThrowsTheClapInASecondTimeTwiceItsDistanceLater(double heightM)
    {
        // The board lies behind the microphone as seen from the player: the reflection is 2·height/c later.
        var board = new ReflectingBoard(Omni.PositionM - new Vector3D(heightM, 0, 0), Vector3D.Front, 0.5);
        var recording = SceneRenderer.Render(Impulse with { Spots = [Omni, Omni with { Id = "desk", Build = new MicrophoneBuild { Board = board } }] });
        // 0.5·0.5/(0.5 + 2·height) of the direct sound, in the treble.
        var lag = 2 * heightM / 343.2 * RateHz;
        var strength = 0.5 * 0.5 / (0.5 + 2 * heightM);
        var ratio = Spectrum(recording.Channels[5], 16000) / Spectrum(recording.Channels[4], 16000) - 1;
        Assert.InRange((ratio - Complex.FromPolarCoordinates(strength, -2 * Math.PI * 16000 / RateHz * lag)).Magnitude, 0, 0.15 * strength);
    }

    [Fact]
    public void TheFloorBringsTheKnockAheadOfTheAir()
    {
        var far = new SceneSpot("far", "player", new Vector3D(3, 5, 1.2)) { Pattern = 1 };
        var scene = Impulse with { Spots = [far, far with { Id = "standing", Build = new MicrophoneBuild { StandDb = 0 } }], StageFloor = new StageFloor(1000, -20, 400) };
        var recording = SceneRenderer.Render(scene);
        // 5.5 m: 264 frames through the floor, 769 through the air.
        var (early, quiet) = (Energy(recording.Channels[5], 2400 + 200, 2400 + 700), Energy(recording.Channels[4], 2400 + 200, 2400 + 700));
        Assert.True(early > 1000 * quiet, $"{early} against {quiet}");
        var knock = new float[4096];
        recording.Channels[5].AsSpan(2400 + 200, 500).CopyTo(knock);
        Assert.True(Spectrum(knock, 3000).Magnitude < 0.1 * Spectrum(knock, 250).Magnitude);
    }

    [Fact]
    public void SomebodyInTheWayMakesTheWaveComeRoundHim()
    {
        // A sphere of 0.15 m midway on the line: tangent, arc, tangent.
        var body = new SourceBody(new Vector3D(7.25, 5, 1.6), 0.15);
        var direct = ImageField.Direct(Player.PositionM, Radiation.Even, Stand);
        var (first, second) = body.Around(direct, Stand) ?? throw new InvalidOperationException("not in the way");
        var (a, b) = ((Player.PositionM - body.CentreM).Length, (Stand - body.CentreM).Length);
        var arc = Math.PI - Math.Acos(0.15 / a) - Math.Acos(0.15 / b);
        var way = Math.Sqrt(a * a - 0.0225) + Math.Sqrt(b * b - 0.0225) + 0.15 * arc;
        // The line passes the centre itself to within a hair, so both ways round are as long.
        Assert.Equal(way, (first.PositionM - Stand).Length, 1e-3);
        Assert.Equal(way, (second.PositionM - Stand).Length, 1e-3);
        Assert.True(first.HighGain < first.Gain && first.Gain < direct.Gain);
        Assert.Null(new SourceBody(new Vector3D(7.25, 5.5, 1.6), 0.15).Around(direct, Stand));
    }

    [Theory]
    [InlineData(3, SceneParts.Usual, 48000)]
    [InlineData(4, SceneParts.Usual, 96000)]
    [InlineData(5, SceneParts.Usual, 44100)]
    [InlineData(6, SceneParts.SpotLowCuts | SceneParts.Array, 48000)]
    public void TheDelayMeantIsWhereTheDirectSoundsCorrelateBest(ulong seed, SceneParts parts, double rateHz)
    {
        // Four millimetres: the truth leaves out what the array's promised shape does to W at one direction, and so small an array does next to nothing.
        var scene = RealSceneGenerator.Draw(seed, new RealSceneRanges { Parts = parts & ~(SceneParts.Moves | SceneParts.TwoPeople), SpotCount = 2, SampleRateHz = rateHz, SecondsBetweenClaps = 0.5, ArrayRadiusM = 0.004 });
        var recording = SceneRenderer.Render(scene.OnlyDirect());
        var array = scene.Arrays[0].Capsules;
        var filter = EncoderDesign.Design(array, rateHz, scene.Room.SpeedOfSoundMps, Correction.Full);
        for (var s = 0; s < 2; s++)
        {
            var truth = recording.Truth.Spots[s];
            var click = scene.Clicks.Single(c => c.SourceId == truth.SourceId);
            var start = (int)((click.TimeSeconds - 0.02) * rateHz);
            const int size = 1 << 15;
            var w = W(recording, filter, start, size);
            var spot = Excerpt(recording.Channels[4 + s], start, size);
            Assert.Equal(truth.DelaySamples, ByBruteForce(w, spot, truth.Polarity, truth.GeometricDelaySamples, rateHz), 0.03);
        }
    }

    [Fact]
    public void LikeMicrophonesLeaveTheGeometry()
    {
        var curve = new CapsuleBuild { Response = new ResponseCurve { LowCut = new LowCut(40, 2), RollOff = new RollOff(14000), Bells = [new Bell(6000, 4, 1)] } };
        var scene = Impulse with
        {
            Programme = [],
            Clicks = [new ClickEvent(0.1, "player")],
            Arrays = [Main with { Build = new MicrophoneBuild { Capsules = [curve, curve, curve, curve] } }],
            Spots = [Omni with { Build = new MicrophoneBuild { Capsules = [curve] } }],
        };
        var spot = SceneRenderer.Render(scene).Truth.Spot("spot");
        // What is left is how exactly the encoder's W stands at the centre, for a wave that is not quite plane.
        Assert.Equal(spot.GeometricDelaySamples, spot.DelaySamples, 0.05);
        Assert.Equal((Math.Sqrt(6.25 + 0.64) - 0.5) / 343.2 * RateHz, spot.GeometricDelaySamples, 1e-6);

        // A roll-off of second order in the spot alone is late by √2/ω_c below its corner: the spot waits so much less.
        var dull = scene with { Spots = [Omni with { Build = new MicrophoneBuild { Capsules = [curve with { Response = curve.Response! with { RollOff = new RollOff(7000) } }] } }] };
        var later = SceneRenderer.Render(dull).Truth.Spot("spot");
        Assert.InRange(spot.DelaySamples - later.DelaySamples, 0.5, Math.Sqrt(2) / (2 * Math.PI * 7000) * RateHz * 1.3);
    }

    private static double[] Pulse()
    {
        var pulse = new double[200];
        BandLimitedImpulse.Add(pulse, 100, 1);
        return pulse;
    }

    private static Complex Spectrum(float[] channel, double hz)
    {
        var sum = Complex.Zero;
        for (var i = 0; i < channel.Length; i++)
            sum += channel[i] * Complex.FromPolarCoordinates(1, -2 * Math.PI * hz / RateHz * i);
        return sum;
    }

    private static double Energy(float[] channel, int from, int to)
    {
        var sum = 0.0;
        for (var i = from; i < to; i++)
            sum += (double)channel[i] * channel[i];
        return sum;
    }

    private static double[] Excerpt(float[] channel, int start, int size)
    {
        var cut = new double[size];
        for (var i = 0; i < size / 2 && start + i < channel.Length; i++)
            cut[i] = channel[start + i];
        return cut;
    }

    private static double[] W(SceneRecording recording, MatrixFilter filter, int start, int size)
    {
        var w = new double[size];
        for (var capsule = 0; capsule < 4; capsule++)
        {
            var signal = Excerpt(recording.Channels[capsule], start, size);
            var taps = filter.Taps(0, capsule);
            for (var i = 0; i < size; i++)
                for (var tap = 0; tap < taps.Length && signal[i] != 0; tap++)
                    if (i + tap - filter.LatencyFrames is var at && at >= 0 && at < size)
                        w[at] += signal[i] * taps[tap];
        }
        return w;
    }

    /// <summary>Both band-limited in the frequency domain, correlated at every thousandth of a sample about the place.</summary>
    private static double ByBruteForce(double[] w, double[] spot, int polarity, double near, double rateHz)
    {
        var fft = new RealFft<double>(w.Length);
        var (aRe, aIm, bRe, bIm) = (new double[fft.BinCount], new double[fft.BinCount], new double[fft.BinCount], new double[fft.BinCount]);
        fft.Forward(w, aRe, aIm);
        fft.Forward(spot, bRe, bIm);
        var (first, last) = ((int)Math.Ceiling(300 * w.Length / rateHz), (int)(8000 * w.Length / rateHz));
        var (best, bestAt) = (double.NegativeInfinity, 0.0);
        foreach (var (span, step) in ((double, double)[])[(24, 0.5), (0.6, 0.02), (0.03, 0.001)])
        {
            var middle = best > double.NegativeInfinity ? bestAt : near;
            best = double.NegativeInfinity;
            for (var delay = middle - span; delay <= middle + span; delay += step)
            {
                var sum = 0.0;
                for (var bin = first; bin <= last; bin++)
                {
                    var (sin, cos) = Math.SinCos(2 * Math.PI * bin / w.Length * delay);
                    sum += (aRe[bin] * bRe[bin] + aIm[bin] * bIm[bin]) * cos - (aIm[bin] * bRe[bin] - aRe[bin] * bIm[bin]) * sin;
                }
                if (polarity * sum > best)
                    (best, bestAt) = (polarity * sum, delay);
            }
        }
        return bestAt;
    }
}
