using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>Two arrays and one spot: each array has delays of its own, from measuring to mixing.</summary>
public sealed class TwoArraysTests : IDisposable
{
    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void DelaysMeasuredAgainstASecondArrayAreItsOwnAndAlignAndMixTakeTheOnesThatFit()
    {
        var session = folder.File("two.json");
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4", "--array", "high=5-8", "--spot", "harp=9").ExitCode);
        var (main, high) = (new Vector3D(5, 4.6, 2.1), new Vector3D(2.6, 5.2, 3.4));
        var (slate, toMain, toHigh) = Clap(session, main, high);

        Assert.Equal(0, CommandLine.Run("measure", session, slate).ExitCode);
        var before = SessionStore.Read(session).FindSpot("harp");
        var measured = CommandLine.Run("measure", session, slate, "--array", "high", "--json");
        Assert.Equal((0, "high"), (measured.ExitCode, (string?)measured.Json["array"]));

        var spot = SessionStore.Read(session).FindSpot("harp");
        Assert.Equal(before.Delay, spot.Delay);
        Assert.Equal(before.GainDb, spot.GainDb);
        Assert.Equal(toMain.DelaySamples, spot.Delay!.Samples, 0.25);
        var other = Assert.Single(spot.Delays!);
        Assert.Equal("high", other.Array);
        Assert.Equal(toHigh.DelaySamples, other.Samples, 0.25);
        Assert.InRange(Direction.AngleBetweenDeg(other.Direction!.ToDirection(), toHigh.Direction), 0, 4);

        double Applied(params string[] options) =>
            (double)CommandLine.Run(["align", session, slate, folder.File("aligned"), "--replace", "--json", .. options]).Json["spots"]![0]!["appliedSamples"]!;
        Assert.Equal(spot.Delay.Samples, Applied(), 1e-9);
        Assert.Equal(other.Samples, Applied("--array", "high"), 1e-9);
        var mix = CommandLine.Run("mix", session, slate, folder.File("mix.wav"), "--array", "high", "--json");
        Assert.Equal(other.Samples, (double)mix.Json["spots"]![0]!["delaySamples"]!, 1e-9);

        Assert.Equal(0, CommandLine.Run("report", session, folder.File("main.html")).ExitCode);
        Assert.Equal(0, CommandLine.Run("report", session, folder.File("high.html"), "--array", "high").ExitCode);
    }

    [Fact]
    public void AnArrayThatNothingWasMeasuredAgainstIsNotLinedUpByTheDelaysOfAnother()
    {
        var session = folder.File("one.json");
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4", "--array", "high=5-8", "--spot", "harp=9").ExitCode);
        var (slate, _, _) = Clap(session, new Vector3D(5, 4.6, 2.1), new Vector3D(2.6, 5.2, 3.4));
        Assert.Equal(0, CommandLine.Run("measure", session, slate).ExitCode);

        var align = CommandLine.Run("align", session, slate, folder.File("aligned"), "--array", "high");
        Assert.Equal(1, align.ExitCode);
        Assert.Contains("not aligned", align.Out, StringComparison.Ordinal);
        Assert.Contains("measure --array high", align.Error, StringComparison.Ordinal);
    }

    private (string Slate, SpotTruth ToMain, SpotTruth ToHigh) Clap(string session, Vector3D main, Vector3D high)
    {
        var capsules = SessionStore.Read(session).MainArray().ToCapsuleArray();
        var harp = new Vector3D(8.1, 6.2, 1.1);
        var spot = new SceneSpot("harp", "harp", harp + new Vector3D(-0.4, 0.1, 0.2));
        var scene = new Scene(new Room(new(14, 9, 6), 0.8), 48000, 1.4, 12)
        {
            Arrays = [new SceneArray("main", main, capsules), new SceneArray("high", high, capsules)],
            Sources = [new SceneSource("harp", harp)],
            Spots = [spot],
            Clicks = [new ClickEvent(0.6, "harp")],
            Noise = new NoiseFloor(50),
            LongestTailSeconds = 0.4,
        };
        var recording = SceneRenderer.Render(scene);
        var path = folder.File("slate.wav");
        using var output = WavOutput.Create(path, new WavOutputFormat(48000, recording.Channels.Length, SampleFormat.Pcm24), replace: true);
        output.Write(recording.Channels, 0, recording.FrameCount);
        output.Complete();
        return (path, SpotTruth.Of(scene, scene.Arrays[0], spot), SpotTruth.Of(scene, scene.Arrays[1], spot));
    }
}
