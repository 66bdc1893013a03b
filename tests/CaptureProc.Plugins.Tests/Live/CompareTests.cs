using CaptureProc.Dsp.Geometry;
using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>Two sets of trims, one after the other and back, at one level.</summary>
public sealed class CompareTests : IDisposable
{
    private const string Title = "Compared evening";

    private readonly LivePlugins plugins = new();

    public CompareTests() => plugins.Publish(new SessionDocument
    {
        Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
        Arrays =
        [
            Tetrahedron.Main with
            {
                TrimSets = [Set("a", 0, 0.5, -0.5, 0), Set("b", 6, 3, 4, 5), Set("c", 1, 1, 1, 1), Set("d", 0, 0, 0, 9), Set("e", -3, 2, 0, 1), Set("f", 0, -8, 0, 0)],
            },
        ],
    });

    public void Dispose() => plugins.Dispose();

    public static TheoryData<string, string> Sounds
    {
        get
        {
            var data = new TheoryData<string, string>();
            foreach (var sound in new[] { "front", "diffuse", "capsule 4" })
                foreach (var set in new[] { "As recorded", "b", "d", "e", "f" })
                    data.Add(sound, set);
            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Sounds))]
    public void TheSecondSetIsAsLoudInWAsTheFirst(string sound, string second)
    {
        using var effect = Start(("First set", "a"), ("Second set", second));
        var input = Sound(sound);
        Playing.Play(effect, input, 512);
        var first = LevelDb(Playing.Play(effect, input, 512)[0]);
        NativePlugins.Set(effect, "Compare", "Second set");
        Playing.Play(effect, [.. input.Select(c => c[..4096])], 512);
        var other = LevelDb(Playing.Play(effect, input, 512)[0]);
        // What an engineer hears as a level, and not as a difference of sound, begins at some tenths of a decibel (common practice, no source).
        Assert.Equal(first, other, 0.1);

        NativePlugins.Set(effect, "Compare at equal level", "Off");
        Playing.Play(effect, [.. input.Select(c => c[..4096])], 512);
        var plain = LevelDb(Playing.Play(effect, input, 512)[0]);
        if (second is "b" || sound == "capsule 4" && second is "d")
            Assert.InRange(plain - first, 2, 10);
    }

    [Fact]
    public void EverySetOfTheSessionIsOfferedAndNoEntryIsBlank()
    {
        using var effect = Start();
        foreach (var title in new[] { "First set", "Second set" })
        {
            var parameter = NativePlugins.Parameter(effect, title);
            var names = Enumerable.Range(0, parameter.StepCount + 1).Select(i => effect.TextOf(parameter.Id, (double)i / parameter.StepCount)).ToList();
            Assert.Equal(["As 'Trim set' says", "As recorded", "No line-up kept: as recorded", "a", "b", "c", "d", "e", "f"], names[..9]);
            Assert.Equal(names.Count, names.Distinct().Count());
        }
        foreach (var parameter in effect.Parameters)
            for (var i = 0; i <= parameter.StepCount; i++)
                Assert.NotEqual("", effect.TextOf(parameter.Id, (double)i / Math.Max(1, parameter.StepCount)));
    }

    [Fact]
    public void WhatIsHeardWhileComparingChangesNoLevel()
    {
        using var effect = Start(("First set", "a"), ("Second set", "d"));
        Playing.Play(effect, Sound("diffuse"), 512);
        NativePlugins.Set(effect, "Compare", "Second set");
        Playing.Play(effect, Sound("diffuse"), 512);
        var added = NativePlugins.Text(effect, "Equal level adds");
        Assert.NotEqual("0.00", added);
        Playing.Play(effect, Sound("capsule 4"), 512);
        Assert.Equal(added, NativePlugins.Text(effect, "Equal level adds"));
        NativePlugins.Set(effect, "Compare", "First set");
        Playing.Play(effect, Sound("capsule 4"), 512);
        Assert.Equal("0.00", NativePlugins.Text(effect, "Equal level adds"));
        NativePlugins.Set(effect, "Compare", "Second set");
        Playing.Play(effect, [.. Sound("capsule 4").Select(c => c[..2048])], 512);
        Assert.NotEqual(added, NativePlugins.Text(effect, "Equal level adds"));
    }

    [Fact]
    public void FlippingNeitherClicksNorLeavesAGap()
    {
        using var effect = Start(("First set", "a"), ("Second set", "b"), ("Correction", "None"));
        var omega = 2 * Math.PI * 500 / LivePlugins.SampleRateHz;
        var sine = Enumerable.Range(0, 24000).Select(n => (float)(0.5 * Math.Sin(omega * n))).ToArray();
        var output = Playing.Play(effect, [sine, sine, sine, sine], _ => 128, start =>
        {
            if (start % (128 * 20) == 0 && start > 0)
                NativePlugins.Set(effect, "Compare", start / (128 * 20) % 2 == 1 ? "Second set" : "First set");
        });
        // A sine obeys this recurrence; a gain that glides over 960 frames bends it by no more than its slope.
        for (var n = 1000; n < 23999; n++)
            Assert.InRange(Math.Abs(output[0][n + 1] - 2 * Math.Cos(omega) * output[0][n] + output[0][n - 1]), 0, 2.0 / 960);
        for (var n = 1000; n < 23800; n += 100)
            Assert.InRange(output[0][n..(n + 100)].Max(Math.Abs), 0.9f, 1.1f);
    }

    private HostedEffect Start(params (string, string)[] settings) => plugins.Start("Array", 512, [("Session", Title), .. settings]);

    private static TrimSet Set(string name, params double[] db) => new() { Name = name, Db = db };

    private static double LevelDb(float[] signal) => 10 * Math.Log10(signal.Sum(s => (double)s * s) / signal.Length);

    /// <summary>Four seconds of noise: from straight ahead (as cardioids hear it, without travel times), from all around, or in one capsule alone.</summary>
    private static float[][] Sound(string kind)
    {
        const int Frames = 4 * 48000;
        var capsules = Enumerable.Range(0, 4).Select(_ => new float[Frames]).ToArray();
        if (kind == "capsule 4")
        {
            capsules[3] = Playing.Noise(1, Frames, 31)[0];
            return capsules;
        }
        // A diffuse field: many directions, each with a noise of its own.
        var random = new Random(32);
        for (var source = 0; source < (kind == "front" ? 1 : 24); source++)
        {
            var (x, y, z) = kind == "front" ? (1.0, 0.0, 0.0) : Anywhere(random);
            var noise = Playing.Noise(1, Frames, 33 + source)[0];
            for (var c = 0; c < 4; c++)
            {
                var capsule = Tetrahedron.Main.Capsules[c];
                var look = new Direction(capsule.AzimuthDeg, capsule.ElevationDeg).ToUnitVector();
                var gain = (float)(0.5 + 0.5 * (look.X * x + look.Y * y + look.Z * z));
                for (var n = 0; n < Frames; n++)
                    capsules[c][n] += 0.2f * gain * noise[n];
            }
        }
        return capsules;
    }

    private static (double X, double Y, double Z) Anywhere(Random random)
    {
        var z = 2 * random.NextDouble() - 1;
        var turn = 2 * Math.PI * random.NextDouble();
        return (Math.Sqrt(1 - z * z) * Math.Cos(turn), Math.Sqrt(1 - z * z) * Math.Sin(turn), z);
    }
}
