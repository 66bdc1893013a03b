using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

/// <summary>A spot on a recorder of its own, from the claps to the aligned file.</summary>
public sealed class OwnClockTests : IDisposable
{
    private const int RateHz = 48_000;
    private const double DriftPpm = 60;
    private const int Seconds = 24;

    private readonly TemporaryFolder folder = new();
    private readonly string session, array, spot;

    public OwnClockTests()
    {
        (session, array, spot) = (folder.File("s.json"), folder.File("array.wav"), folder.File("spot.wav"));
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4", "--spot", "harp=5").ExitCode);
        var place = new Vector3D(8.1, 6.2, 1.1);
        var scene = SceneRenderer.Render(new Scene(new Room(new(14, 9, 6), 0.6), RateHz, Seconds, 11)
        {
            Arrays = [new SceneArray("main", new Vector3D(5, 4.6, 2.1), SessionStore.Read(session).MainArray().ToCapsuleArray())],
            Sources = [new SceneSource("harp", place)],
            Spots = [new SceneSpot("harp", "harp", place + new Vector3D(-0.4, 0.1, 0.2))],
            Clicks = [new ClickEvent(2, "harp"), new ClickEvent(Seconds - 2, "harp")],
            Noise = new NoiseFloor(45),
            LongestTailSeconds = 0.5,
        });
        Write(array, scene.Channels[..4]);
        // The other recorder was started 1000 frames later and runs fast; sox's own resampler makes its file, independent of ours.
        Write(folder.File("common.wav"), [scene.Channels[4][1000..]]);
        Sox(folder.File("common.wav"), spot);
    }

    public void Dispose() => folder.Dispose();

    [Fact]
    public void DriftIsMeasuredEnteredAndFollowed()
    {
        var measured = CommandLine.Run("measure", session, array, spot, "--own-clock", "harp", "--json");
        var clock = measured.Json["spots"]![0]!["clock"]!;
        Assert.Equal(DriftPpm, (double)clock["driftPpm"]!, 0.1);
        Assert.InRange((double)clock["uncertaintyPpm"]!, 0.0001, 0.2);
        Assert.Equal(2, measured.Json["clicks"]!.AsArray().Count);

        Assert.Equal(0, CommandLine.Run("align", session, array, spot, folder.File("aligned")).ExitCode);
        var field = Read(Directory.GetFiles(folder.File("aligned"), "main*")[0])[0];
        var harp = Read(Directory.GetFiles(folder.File("aligned"), "harp*")[0])[0];
        foreach (var second in new[] { 2, Seconds - 2 })
            Assert.Equal(0, Lag(field, harp, second), 1.0);

        Assert.Contains("ppm", CommandLine.Run("measure", session, array, spot).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void ClockWithoutTwoClapsIsRefused()
    {
        CommandLine.Refuses("exclude each other", "measure", session, array, spot, "--own-clock", "harp", "--program");
        CommandLine.Refuses("needs two claps", "measure", session, array, spot, "--own-clock", "harp", "--at", "2");
        CommandLine.Refuses("no spot 'horn'", "measure", session, array, spot, "--own-clock", "horn");
    }

    // sox IN OUT speed F: the output plays F times as fast, so a slow-down by 1 + ε leaves 1 + ε times as many frames at the same rate.
    private static void Sox(string from, string to)
    {
        using var process = System.Diagnostics.Process.Start("sox", ["-D", from, "-b", "32", "-e", "floating-point", to, "speed", FormattableString.Invariant($"{1 / (1 + DriftPpm * 1e-6):0.000000000000}"), "rate", "-v", $"{RateHz}"]);
        process.WaitForExit();
        Assert.Equal(0, process.ExitCode);
    }

    // Where the cross-correlation of half a second around a clap is largest, to the frame.
    private static double Lag(float[] a, float[] b, int second)
    {
        var (best, at) = (0.0, -99);
        for (var lag = -40; lag <= 40; lag++)
        {
            var sum = 0.0;
            for (var i = second * RateHz; i < second * RateHz + RateHz / 50; i++)
                sum += a[i] * b[i - lag];
            if (Math.Abs(sum) > best)
                (best, at) = (Math.Abs(sum), lag);
        }
        return at;
    }

    private static void Write(string path, float[][] planar)
    {
        using var output = WavOutput.Create(path, new WavOutputFormat(RateHz, planar.Length, SampleFormat.Float32), replace: false);
        output.Write(planar, 0, planar[0].Length);
        output.Complete();
    }

    private static float[][] Read(string path)
    {
        using var input = WavInput.Open(path);
        var planar = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[input.FrameCount]).ToArray();
        input.Read(planar, (int)input.FrameCount);
        return planar;
    }
}
