using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>What automation does to the sound: within the range of a parameter, at the frame that the host says, whatever the blocks.</summary>
public sealed class AutomationTests : IDisposable
{
    private const string Title = "Automated evening";
    private const int BounceFrames = 3 * 4096;

    private readonly LivePlugins plugins = new();

    public AutomationTests() => plugins.Publish(new SessionDocument
    {
        Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch,
        Arrays = [Tetrahedron.Main with { TrimSets = [Set("a", 3, 0, 0, 0), Set("b", 0, -6, 0, 1)] }],
    });

    public void Dispose() => plugins.Dispose();

    [Theory]
    [InlineData("Spot", "Gain", 0, -24, 0, 64)]
    [InlineData("Spot", "Gain", 24, -24, 24, 32)]
    [InlineData("Place 3", "Gain", 0, -24, 0, 64)]
    [InlineData("Place 3", "Gain", 24, -24, 24, 32)]
    [InlineData("Array", "Output gain", 0, -24, 0, 64)]
    [InlineData("Array", "Output gain", 24, -24, 24, 32)]
    [InlineData("Listen 1", "Gain", 0, -24, 0, 64)]
    [InlineData("Listen 1", "Gain", 24, -24, 24, 32)]
    public void AGainThatJumpsAndRunsBackIsNeverLouderThanItWas(string name, string title, double fromDb, double jumpDb, double backDb, int backFrame)
    {
        using var effect = plugins.Start(name, 512);
        var gain = NativePlugins.Parameter(effect, title);
        effect.SetNormalized(gain.Id, effect.ToNormalized(gain.Id, fromDb));
        var steady = Steady(effect);
        Playing.Play(effect, steady, 512);
        var before = Peak(Playing.Play(effect, [.. steady.Select(c => c[..1024])], 512));
        effect.AddPoint(gain.Id, 0, effect.ToNormalized(gain.Id, jumpDb));
        effect.AddPoint(gain.Id, backFrame, effect.ToNormalized(gain.Id, backDb));
        var after = Peak(Playing.Play(effect, [.. steady.Select(c => c[..2048])], 512));
        // A hundredth of a decibel: filters ripple by as much on a step of a gain.
        Assert.InRange(20 * Math.Log10(after / before), -0.01, 0.01);
    }

    [Theory]
    [InlineData("Array", "Trim set", "b")]
    [InlineData("Array", "Trims from", "Kept line-up")]
    [InlineData("Array", "First set", "b")]
    [InlineData("Array", "Compare", "Second set")]
    [InlineData("Array", "Match level of trims", "On")]
    [InlineData("Array", "Polarity 3", "Inverted")]
    [InlineData("Array", "Format", "FuMa")]
    [InlineData("Array", "Bypass", "On")]
    [InlineData("Spot", "Bypass", "On")]
    [InlineData("Spot", "Polarity", "Inverted")]
    [InlineData("Spot", "Delay from", "By hand")]
    [InlineData("Place 2", "Direction from", "By hand")]
    [InlineData("Listen 2", "Bypass", "On")]
    [InlineData("Listen 1", "Listen as", "Capsules")]
    public void ASwitchIsHeardFromItsFrameOnAndNotBefore(string name, string title, string value)
    {
        const int Frame = 4001;
        float[][] Play(bool switches)
        {
            (string, string)[] session = name == "Array" ? [("Session", Title), ("Trim set", "a"), ("Trim 1", "1"), ("Second set", "b")] : [];
            (string, string)[] byHand = name is "Spot" ? [("Delay by hand", "3")] : name.StartsWith("Place", StringComparison.Ordinal) ? [("Azimuth", "70")] : [];
            using var effect = plugins.Start(name, 4096, [.. session, .. byHand]);
            var input = Playing.Noise(effect.InputChannels, 3 * 4096, 7);
            var parameter = NativePlugins.Parameter(effect, title);
            Assert.True(effect.TryParse(parameter.Id, value, out var normalized));
            return Playing.Play(effect, input, _ => 4096, start =>
            {
                if (switches && start == 4096)
                    effect.AddPoint(parameter.Id, Frame, normalized);
            });
        }

        var (with, without) = (Play(true), Play(false));
        for (var channel = 0; channel < with.Length; channel++)
            Assert.Equal(without[channel][..(4096 + Frame)], with[channel][..(4096 + Frame)]);
        // Half a millisecond later it is on its way.
        Assert.Contains(Enumerable.Range(0, with.Length), c => Enumerable.Range(4096 + Frame, 24).Any(n => with[c][n] != without[c][n]));
    }

    [Theory]
    [InlineData("Array")]
    [InlineData("Array Live")]
    [InlineData("Spot")]
    [InlineData("Spot 4")]
    [InlineData("Place 3")]
    [InlineData("Listen 1")]
    [InlineData("Listen 3")]
    public void ABounceInLongBlocksEqualsOneInShortBlocksToTheLastBit(string name)
    {
        float[][] Bounce(int blockFrames)
        {
            using var effect = plugins.Start(name, blockFrames, name.StartsWith("Array", StringComparison.Ordinal) ? [("Session", Title)] : []);
            var lane = new Lane(effect, 17);
            return Playing.Play(effect, Playing.Noise(effect.InputChannels, BounceFrames, 8), _ => blockFrames, start => lane.Play(start, blockFrames));
        }

        var expected = Bounce(64);
        foreach (var blockFrames in new[] { 4096, 512 })
        {
            var output = Bounce(blockFrames);
            for (var channel = 0; channel < output.Length; channel++)
                Assert.Equal(-1, FirstDifference(expected[channel], output[channel]));
        }
    }

    [Fact]
    public void WhateverAutomationSendsNoGainLeavesItsRange()
    {
        // Sine in, so that an overshoot of one frame shows; all gains of the class at random, up to their largest.
        foreach (var (name, titles, loudestDb) in new[]
        {
            ("Spot", new[] { "Gain" }, 24.0), ("Place 3", ["Gain"], 24), ("Listen 1", ["Gain"], 24), ("Array", ["Output gain"], 24),
        })
        {
            using var effect = plugins.Start(name, 512);
            var gains = titles.Select(t => NativePlugins.Parameter(effect, t).Id).ToList();
            var random = new Random(9);
            effect.SetNormalized(gains[0], 1);
            var steady = Steady(effect);
            Playing.Play(effect, steady, 512);
            var loudest = Peak(Playing.Play(effect, [.. steady.Select(c => c[..1024])], 512));
            var output = Playing.Play(effect, [.. steady.Select(c => Enumerable.Repeat(c[0], 60 * 512).ToArray())], _ => 512, _ =>
            {
                foreach (var id in gains)
                    for (int frame = 0, left = random.Next(300); left > 0; left--, frame = Math.Min(512, frame + random.Next(5)))
                        effect.AddPoint(id, frame, random.Next(3) switch { 0 => 0, 1 => 1, _ => random.NextDouble() });
            });
            Assert.InRange(Peak(output), 0, loudest * 1.0012);
        }
    }

    private static int FirstDifference(float[] a, float[] b)
    {
        for (var n = 0; n < a.Length; n++)
            if (a[n] != b[n])
                return n;
        return -1;
    }

    private static TrimSet Set(string name, params double[] db) => new() { Name = name, Db = db };

    // A constant: what comes out is the gain itself.
    private static float[][] Steady(HostedEffect effect) =>
        [.. Enumerable.Range(0, effect.InputChannels).Select(_ => Enumerable.Repeat(0.01f, 8192).ToArray())];

    private static double Peak(float[][] signal) => signal.Max(channel => channel.Max(s => Math.Abs((double)s)));

    /// <summary>Steps and jumps on every parameter that is one of the sound's, at frames of a bounce; the same whatever the blocks.</summary>
    private sealed class Lane
    {
        private readonly HostedEffect effect;
        private readonly List<(int Frame, uint Id, double Value)> points = [];

        public Lane(HostedEffect effect, int seed)
        {
            this.effect = effect;
            var random = new Random(seed);
            foreach (var parameter in effect.Parameters.Where(p => !p.IsReadOnly && !p.IsHelper && !IsDesigned(p.Title)))
                for (var frame = random.Next(900); frame < BounceFrames; frame += random.Next(100, 4000))
                {
                    // A jump of a continuous value is given as hosts give it: where it is till then, and where it is from there on.
                    points.Add((frame, parameter.Id, parameter.StepCount > 0 ? random.Next(parameter.StepCount + 1) / (double)parameter.StepCount : random.NextDouble()));
                }
            points.Sort((a, b) => a.Frame.CompareTo(b.Frame));
        }

        public void Play(int start, int frames)
        {
            foreach (var (frame, id, value) in points)
            {
                if (frame < start || frame >= start + frames)
                    continue;
                if (effect.Parameters.Single(p => p.Id == id).StepCount == 0)
                    effect.AddPoint(id, frame - start, Last(id, frame));
                effect.AddPoint(id, frame - start, value);
            }
        }

        private double Last(uint id, int frame) => points
            .Where(p => p.Id == id && p.Frame < frame).Select(p => p.Value).LastOrDefault(effect.Parameters.Single(p => p.Id == id).DefaultNormalized);

        // What changes filters is designed beside the sound and faded in when it is ready.
        private static bool IsDesigned(string title) => title is "Session" or "Follow session" or "Array from" or "Capsule order" or "Radius" or "Pattern"
            or "Mount" or "Correction" or "Spot" or "Four channels" or "Head" || title.StartsWith("Line-up", StringComparison.Ordinal);
    }
}
