using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>Six spots, five claps: from one slate to places, a delay for the spot that was forgotten, report and advice.</summary>
public sealed class StageTests : IDisposable
{
    private static readonly Vector3D Centre = new(6, 5, 2.3);

    private static readonly (string Id, Vector3D Player, Vector3D Spot)[] Players =
    [
        ("harp", new(2.6, 1.9, -1.1), new(2.3, 1.6, -0.8)), ("oboe", new(3.1, -0.4, -1.0), new(2.8, -0.2, -0.7)), ("horn", new(1.4, -2.7, -1.2), new(1.2, -2.3, -0.9)),
        ("bells", new(-2.2, -1.9, -0.9), new(-1.9, -1.6, -1.3)), ("drum", new(-2.8, 0.8, -1.3), new(-2.5, 0.5, -0.9)), ("choir", new(0.3, 3.2, -0.7), new(0.1, 2.7, -0.6)),
    ];

    private readonly TemporaryFolder folder = new();

    public void Dispose() => folder.Dispose();

    [Fact]
    public void OneSlateTellsThePlacesAndADelayForTheSpotThatWasForgotten()
    {
        var session = folder.File("stage.json");
        Assert.Equal(0, CommandLine.Run(["start", session, "--array", "main=1-4", .. Players.SelectMany((p, i) => new[] { "--spot", $"{p.Id}={5 + i}" })]).ExitCode);
        var slate = Record(session, "choir");

        var measured = CommandLine.Run("measure", session, slate, "--json", "--distance", FormattableString.Invariant($"harp={Players[0].Spot.Length}"));
        // The forgotten clap needs attention, and its note says why.
        Assert.Equal(1, measured.ExitCode);
        Assert.Contains("nobody clapped here", measured.Error, StringComparison.Ordinal);
        var stage = SessionStore.Read(session).Stage!;
        Assert.Equal(6, stage.Spots.Count);
        foreach (var (id, _, place) in Players)
        {
            var found = stage.Spots.Single(s => s.Id == id).PositionM;
            Assert.InRange(Math.Sqrt((found[0] - place.X) * (found[0] - place.X) + (found[1] - place.Y) * (found[1] - place.Y)), 0, 0.15);
        }
        Assert.Equal(5, stage.Claps.Count);
        // Of five claps elsewhere one may be left out.
        Assert.InRange((int)measured.Json["stage"]!["spots"]!.AsArray().Single(s => (string?)s!["id"] == "choir")!["otherClaps"]!, 4, 5);
        Assert.InRange(stage.TemperatureC!.Value, 20 - 3 * stage.TemperatureUncertaintyC!.Value - 0.5, 20 + 3 * stage.TemperatureUncertaintyC.Value + 0.5);

        var choir = SessionStore.Read(session).FindSpot("choir");
        Assert.Equal("stage", choir.Delay!.Source);
        // The player was drawn on the spot's far side as seen from the array.
        Assert.InRange(Math.Abs(choir.Delay.Ms - 1000 * (Players[5].Player.Length - (Players[5].Player - Players[5].Spot).Length) / 343.2), 0, 1.6);
        var aligned = CommandLine.Run("align", session, slate, folder.File("aligned"), "--json").Json["spots"]!.AsArray();
        Assert.Equal(choir.Delay.Samples, (double)aligned[5]!["appliedSamples"]!, 1e-9);

        var plan = CommandLine.Run("plan", session, "--json");
        Assert.Equal(0, plan.ExitCode);
        Assert.All(plan.Json["bleed"]!.AsArray(), b => Assert.InRange((double)b!["nearerFallDb"]!, 3, 8));
        Assert.Equal(0, CommandLine.Run("report", session, folder.File("stage.html")).ExitCode);
        var page = File.ReadAllText(folder.File("stage.html"));
        Assert.Contains("Stage from above", page, StringComparison.Ordinal);
        Assert.Contains("none; delay from its place", page, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("harp", "write SPOT=METRES")]
    [InlineData("harp=far", "write SPOT=METRES")]
    [InlineData("harp=400", "0.3 to 40 m")]
    public void ADistanceThatIsNoneIsRefused(string distance, string reason)
    {
        var session = folder.File("bad.json");
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4", "--spot", "harp=5").ExitCode);
        var slate = folder.File("short.wav");
        using (var output = WavOutput.Create(slate, new WavOutputFormat(48000, 5, SampleFormat.Pcm24), replace: true))
        {
            output.Write([.. Enumerable.Range(0, 5).Select(_ => new float[4800])], 0, 4800);
            output.Complete();
        }
        var refused = CommandLine.Run("measure", session, slate, "--distance", distance);
        Assert.Equal(2, refused.ExitCode);
        Assert.Contains(reason, refused.Error, StringComparison.Ordinal);
    }

    private string Record(string session, string forgotten)
    {
        var scene = new Scene(new Room(new(13, 11, 6), 0.9), 48000, 4.2, 12)
        {
            Arrays = [new SceneArray("main", Centre, SessionStore.Read(session).MainArray().ToCapsuleArray())],
            Sources = [.. Players.Select(p => new SceneSource(p.Id, Centre + p.Player))],
            Spots = [.. Players.Select(p => new SceneSpot(p.Id, p.Id, Centre + p.Spot))],
            Clicks = [.. Players.Where(p => p.Id != forgotten).Select((p, i) => new ClickEvent(0.5 + 0.7 * i, p.Id))],
            Noise = new NoiseFloor(50),
            LongestTailSeconds = 0.4,
        };
        var recording = SceneRenderer.Render(scene);
        using var output = WavOutput.Create(folder.File("slate.wav"), new WavOutputFormat(48000, recording.Channels.Length, SampleFormat.Pcm24), replace: true);
        output.Write(recording.Channels, 0, recording.FrameCount);
        output.Complete();
        return folder.File("slate.wav");
    }
}
