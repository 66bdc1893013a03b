using System.Security.Cryptography;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>A session of two spots and the recording of a clap at each.</summary>
public sealed class TwoClaps : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public TwoClaps()
    {
        Start(Session);
        var (harp, oboe) = (new Vector3D(8.1, 6.2, 1.1), new Vector3D(7.0, 2.6, 1.2));
        var scene = new Scene(new Room(new(14, 9, 6), 0.8), 48000, 2.2, 12)
        {
            Arrays = [new SceneArray("main", new Vector3D(5, 4.6, 2.1), SessionStore.Read(Session).MainArray().ToCapsuleArray())],
            Sources = [new SceneSource("harp", harp), new SceneSource("oboe", oboe)],
            Spots =
            [
                new SceneSpot("harp", "harp", harp + new Vector3D(-0.4, 0.1, 0.2)),
                new SceneSpot("oboe", "oboe", oboe + new Vector3D(0.1, 0.2, 0.4)) { Inverted = true },
            ],
            Clicks = [new ClickEvent(0.6, "harp"), new ClickEvent(1.4, "oboe")],
            Noise = new NoiseFloor(45),
            LongestTailSeconds = 0.5,
        };
        var recording = SceneRenderer.Render(scene);
        Truth = recording.Truth;
        Channels = recording.Channels;
        Write("slate.wav", Channels, 48000);
    }

    public SceneTruth Truth { get; }

    public float[][] Channels { get; }

    public string Session => folder.File("session.json");

    public string Slate => folder.File("slate.wav");

    private static string Start(string path)
    {
        Assert.Equal(0, CommandLine.Run("start", path, "--array", "main=1-4", "--spot", "harp=5", "--spot", "oboe=6", "--replace").ExitCode);
        return path;
    }

    /// <summary>A fresh session beside the first.</summary>
    public string Fresh(string name) => Start(folder.File(name));

    public string Write(string name, float[][] channels, int rateHz)
    {
        using var output = WavOutput.Create(folder.File(name), new WavOutputFormat(rateHz, channels.Length, SampleFormat.Pcm24), replace: true);
        output.Write(channels, 0, channels[0].Length);
        output.Complete();
        return folder.File(name);
    }

    public void Dispose() => folder.Dispose();
}

/// <summary><c>captureproc measure</c> as a user and a program see it.</summary>
public sealed class MeasureCommandTests(TwoClaps claps) : IClassFixture<TwoClaps>
{
    [Fact]
    public void ASlateIsMeasuredPrintedAndEntered()
    {
        var session = claps.Fresh("entered.json");
        var result = CommandLine.Run("measure", session, claps.Slate, "--json");
        Assert.Equal(0, result.ExitCode);
        var spots = result.Json["spots"]!.AsArray();
        Assert.Equal(2, result.Json["clicks"]!.AsArray().Count);
        Assert.Equal("oboe", (string)result.Json["clicks"]![1]!["spot"]!);

        var document = SessionStore.Read(session);
        foreach (var (spot, json) in document.Spots.Zip(spots))
        {
            var truth = claps.Truth.Spot(spot.Id);
            Assert.Equal(truth.DelaySamples, spot.Delay!.Samples, 0.25);
            Assert.Equal(spot.Delay.Samples / 48, spot.Delay.Ms, 1e-5);
            Assert.Equal(truth.Polarity, spot.Polarity);
            Assert.InRange(Direction.AngleBetweenDeg(spot.Direction!.ToDirection(), truth.Direction), 0, 1);
            Assert.Equal(spot.Delay.Samples, (double)json!["delay"]!["samples"]!);
            Assert.Equal(spot.Polarity, (int)json["polarity"]!);
            // The picture of the clap: lined up, the traces fit best where they are, within a few points (the room is in both, and not alike).
            var slate = spot.Slate!;
            Assert.Equal(spot.Delay.Samples, slate.DelaySamples);
            Assert.InRange(BestLag(SlateTrace.ToPoints(slate.LinedUp.Array), SlateTrace.ToPoints(slate.LinedUp.Spot)), -3, 3);
            Assert.InRange(slate.Recorded.ToMs - slate.Recorded.FromMs, spot.Delay.Ms, spot.Delay.Ms + 9);
        }

        var history = document.History[^1];
        Assert.Equal("measure", history.Command);
        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(claps.Slate))), history.Inputs[0].Sha256);
    }

    private static int BestLag(float[] a, float[] b) => Enumerable.Range(-40, 81)
        .MaxBy(lag => Math.Abs(Enumerable.Range(40, a.Length - 80).Sum(n => (double)a[n] * b[n + lag])));

    [Fact]
    public void TheTableNamesEverySpotAndItsPolarity()
    {
        var result = CommandLine.Run("measure", claps.Fresh("table.json"), claps.Slate);
        Assert.Equal(0, result.ExitCode);
        Assert.Contains("harp", result.Out, StringComparison.Ordinal);
        Assert.Contains("inverted", result.Out, StringComparison.Ordinal);
        Assert.Contains("as the array", result.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void FilesOfOneChannelCountOnLikeOneOfMany()
    {
        var (one, many) = (claps.Fresh("one.json"), claps.Fresh("many.json"));
        var field = claps.Write("field.wav", claps.Channels[..4], 48000);
        var spots = claps.Channels[4..].Select((c, i) => claps.Write($"spot{i}.wav", [c], 48000));
        Assert.Equal(0, CommandLine.Run(["measure", many, field, .. spots]).ExitCode);
        Assert.Equal(0, CommandLine.Run("measure", one, claps.Slate).ExitCode);
        Assert.Equal(SessionStore.Read(one).Spots.Select(s => s.Delay!.Samples), SessionStore.Read(many).Spots.Select(s => s.Delay!.Samples));
        Assert.Equal(3, SessionStore.Read(many).History[^1].Inputs.Count);
    }

    [Fact]
    public void ASpotWithoutAClapEndsWithExitCodeOneAndSaysWhatToDo()
    {
        // The oboe's clap is given by its time; the harp's is not among those asked for, so all spots hear one clap only.
        var session = claps.Fresh("deaf.json");
        var deaf = claps.Write("deaf.wav", [.. claps.Channels[..5], new float[claps.Channels[0].Length]], 48000);
        var result = CommandLine.Run("measure", session, deaf);
        Assert.Equal(1, result.ExitCode);
        Assert.Contains("oboe", result.Error, StringComparison.Ordinal);
        var spot = SessionStore.Read(session).FindSpot("oboe");
        Assert.Null(spot.Delay);
        Assert.NotNull(spot.Note);
    }

    [Fact]
    public void OneClapForAllIsSaidWithWhatItCosts()
    {
        var session = claps.Fresh("one-clap.json");
        var result = CommandLine.Run("measure", session, claps.Slate, "--at", "0.6");
        Assert.Contains("one clap for all", result.Error, StringComparison.Ordinal);
        Assert.Equal("shared click", SessionStore.Read(session).FindSpot("harp").Delay!.Source);
    }

    [Fact]
    public void MeasureSaysThatThePatchWasNeverChecked()
    {
        var session = claps.Fresh("unpatched.json");
        Assert.Contains("'patch' was never run on array 'main'", CommandLine.Run("measure", session, claps.Slate).Error, StringComparison.Ordinal);
        SessionStore.Update(session, s => s with { Arrays = [s.Arrays[0] with { Patch = new PatchCheck { Ok = true, Order = ["FLU", "FRD", "BLD", "BRU"] } }] });
        Assert.Equal("", CommandLine.Run("measure", session, claps.Slate).Error);
    }

    [Fact]
    public void ADeadSpotIsNamedAndNotItsNeighbour()
    {
        var session = claps.Fresh("dead.json");
        var random = new Random(7);
        var hiss = Array.ConvertAll(claps.Channels[0], _ => (float)(1e-4 * (random.NextDouble() - 0.5)));
        foreach (var channel in new[] { new float[hiss.Length], hiss })
        {
            var result = CommandLine.Run("measure", session, claps.Write("dead.wav", [.. claps.Channels[..5], channel], 48000), "--json");
            Assert.Equal(1, result.ExitCode);
            Assert.Equal("oboe", (string?)Assert.Single(result.Json["deadSpots"]!.AsArray()));
            Assert.Contains("channel 6 is dead", SessionStore.Read(session).FindSpot("oboe").Note, StringComparison.Ordinal);
            // The oboe's clap is heard first by the harp, which is no longer sure whose it is.
            Assert.True(SessionStore.Read(session).FindSpot("harp").Delay is null or { Confidence: < 0.95 } or { Source: "shared click" }
                || Math.Abs(SessionStore.Read(session).FindSpot("harp").Delay!.Samples - claps.Truth.Spot("harp").DelaySamples) < 0.1);
        }
    }

    [Fact]
    public void AConverterOffsetIsNoClap()
    {
        var (plain, offset) = (claps.Fresh("plain.json"), claps.Fresh("offset.json"));
        var shifted = claps.Write("offset.wav", [.. claps.Channels.Select((c, i) => Array.ConvertAll(c, s => s + 0.02f * (i - 2)))], 48000);
        CommandLine.Run("measure", plain, claps.Slate);
        Assert.Equal(0, CommandLine.Run("measure", offset, shifted).ExitCode);
        var (a, b) = (SessionStore.Read(plain), SessionStore.Read(offset));
        Assert.Equal(a.Clicks.Select(c => c.Spot), b.Clicks.Select(c => c.Spot));
        foreach (var (one, other) in a.Spots.Zip(b.Spots))
            Assert.Equal(one.Delay!.Samples, other.Delay!.Samples, 0.01);
    }

    // Two equal sounds in step are 6.02 dB louder than one; as recorded, a spot half a metre away leaves the array 19 dB behind.
    [Fact]
    public void InTheUsualMixEveryPlayerIsAsLoudFromTheSpotAsFromTheArray()
    {
        var session = claps.Fresh("mixed.json");
        Assert.Equal(0, CommandLine.Run("measure", session, claps.Slate).ExitCode);
        var (mix, alone) = (session + ".mix.wav", session + ".alone.wav");
        Assert.Equal(0, CommandLine.Run("mix", session, claps.Slate, mix, "--bits", "32f").ExitCode);
        Assert.Equal(0, CommandLine.Run("mix", session, claps.Slate, alone, "--bits", "32f", "--gain", "-120").ExitCode);
        foreach (var click in claps.Truth.Clicks)
            Assert.InRange(20 * Math.Log10(DirectPeak(mix, click.ArrivalSeconds) / DirectPeak(alone, click.ArrivalSeconds)), 5, 7);
    }

    private static double DirectPeak(string path, double arrivalSeconds)
    {
        using var input = WavInput.Open(path);
        var planar = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        input.Read(planar, (int)input.FrameCount);
        // The first reflections come more than two milliseconds later.
        var first = (int)(arrivalSeconds * 48000);
        return planar[0][(first - 24)..(first + 96)].Max(Math.Abs);
    }

    [Fact]
    public void UnusableInputIsRefusedAndTheSessionStaysAsItIs()
    {
        var session = claps.Fresh("refused.json");
        var before = File.ReadAllBytes(session);
        var silent = claps.Write("silent.wav", [.. claps.Channels.Select(c => new float[c.Length])], 48000);
        var fast = claps.Write("fast.wav", claps.Channels, 96000);
        var narrow = claps.Write("narrow.wav", claps.Channels[..5], 48000);
        CommandLine.Refuses("silent", "measure", session, silent);
        CommandLine.Refuses("96000", "measure", session, fast);
        CommandLine.Refuses("channel 6", "measure", session, narrow);
        CommandLine.Refuses("beyond the end", "measure", session, claps.Slate, "--at", "99");
        CommandLine.Refuses("exclude", "measure", session, claps.Slate, "--at", "0.6", "--program");
        CommandLine.Refuses("no-such-set", "measure", session, claps.Slate, "--trim", "no-such-set");
        Assert.Equal(before, File.ReadAllBytes(session));
    }
}
