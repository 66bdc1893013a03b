using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Tests.Commands;

public sealed class LevelCommandTests : IDisposable
{
    private const int RateHz = 48000;
    private static readonly double[] GainsDb = [0, 0.12, -0.05, 0.03];

    private readonly TemporaryFolder folder = new();
    private readonly string session;

    public LevelCommandTests()
    {
        session = folder.File("session.json");
        Assert.Equal(0, CommandLine.Run("start", session, "--array", "main=1-4").ExitCode);
    }

    public void Dispose() => folder.Dispose();

    private string Recording(string name, Func<float[], int, float[]> channel, double seconds = 4)
    {
        var pink = folder.File("pink.wav");
        CommandLine.Run("signal", "pink", pink, "--seconds", FormattableString.Invariant($"{seconds}"), "--replace");
        using var input = WavInput.Open(pink);
        var noise = new float[input.FrameCount];
        input.Read([noise], noise.Length);
        var path = folder.File(name);
        using var output = WavOutput.Create(path, new WavOutputFormat(RateHz, 4, SampleFormat.Pcm24), replace: false);
        float[][] planar = [channel(noise, 0), channel(noise, 1), channel(noise, 2), channel(noise, 3)];
        output.Write(planar, 0, noise.Length);
        output.Complete();
        return path;
    }

    private static float[] Gained(float[] noise, int channel) => Array.ConvertAll(noise, s => (float)(s * Math.Pow(10, GainsDb[channel] / 20)));

    [Fact]
    public void TrimsAreFoundToldAndStored()
    {
        var result = CommandLine.Run("level", session, Recording("line-up.wav", Gained), "--json");

        Assert.Equal(1, result.ExitCode);
        Assert.False((bool)result.Json["within"]!);
        Assert.Equal("out", (string)result.Json["verdict"]!);
        Assert.Equal((1, 0.1), ((int)result.Json["reference"]!, (double)result.Json["toleranceDb"]!));
        var array = SessionStore.Read(session).MainArray();
        Assert.Equal("line-up", array.ActiveTrim);
        var set = Assert.Single(array.TrimSets);
        Assert.Equal(("pink", 0.1), (set.Source, set.ToleranceDb));
        for (var c = 0; c < 4; c++)
        {
            var channel = result.Json["channels"]![c]!;
            Assert.Equal(c + 1, (int)channel["channel"]!);
            Assert.Equal(GainsDb[c], (double)channel["gainErrorDb"]!, 0.001);
            Assert.Equal(-GainsDb[c], (double)channel["trimDb"]!, 0.001);
            Assert.Equal(-GainsDb[c], set.Db[c], 0.001);
            Assert.Equal(-12 + GainsDb[c], (double)channel["levelDb"]!, 0.1);
            Assert.InRange((double)channel["uncertaintyDb"]!, 0, 0.001);
            Assert.InRange((double)channel["crestDb"]!, 11, 14.1);
            Assert.Equal(-3.01, (double)channel["slopeDbPerOctave"]!, 0.1);
            Assert.Null(channel["problem"]);
        }
        var history = SessionStore.Read(session).History[^1];
        Assert.Equal(("level", "line-up.wav", 64), (history.Command, history.Inputs[0].File, history.Inputs[0].Sha256.Length));
    }

    [Fact]
    public void WithinToleranceEndsWithZeroAndSaysSo()
    {
        var result = CommandLine.Run("level", session, Recording("line-up.wav", Gained), "--tolerance", "0.2");
        Assert.Equal(0, result.ExitCode);
        Assert.Contains("All channels are within 0.2 dB of channel 1.", result.Out, StringComparison.Ordinal);
        Assert.Contains("Trims stored as 'line-up'.", result.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void DryRunChangesNothing()
    {
        var before = File.ReadAllText(session);
        CommandLine.Run("level", session, Recording("line-up.wav", Gained), "--dry-run");
        Assert.Equal(before, File.ReadAllText(session));
    }

    [Fact]
    public void ADeadChannelLeavesTheSessionAsItIs()
    {
        var before = File.ReadAllText(session);
        var result = CommandLine.Run("level", session, Recording("dead.wav", (n, c) => c == 2 ? new float[n.Length] : Gained(n, c)));
        Assert.Equal(1, result.ExitCode);
        Assert.Contains("Channel 3: no signal: linked gain is no proof", result.Out, StringComparison.Ordinal);
        Assert.Contains("The session is unchanged.", result.Out, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllText(session));
    }

    [Fact]
    public void ARoomIsRefusedAndOnlyDiffuseTouchesIt()
    {
        // Four capsules that hear a sound after one another and at other levels: enough of a room. The last is 20 dB down, which any interval tells.
        var room = Recording("room.wav", (n, c) => [.. new float[3 * c], .. Array.ConvertAll(n[..^(3 * c)], s => s * (1 - 0.3f * c))]);
        var before = File.ReadAllText(session);
        var result = CommandLine.Run("level", session, room, "--json");
        Assert.Equal(1, result.ExitCode);
        Assert.True((bool)result.Json["room"]!);
        Assert.Null(result.Json["stored"]);
        Assert.Equal(before, File.ReadAllText(session));

        CommandLine.Run("level", session, room, "--diffuse");
        var array = SessionStore.Read(session).MainArray();
        Assert.Equal("room", Assert.Single(array.TrimSets).Name);
        Assert.Null(array.ActiveTrim);
    }

    [Fact]
    public void UnusableInputIsRefused()
    {
        var recording = Recording("line-up.wav", Gained);
        CommandLine.Refuses("--reference 7", "level", session, recording, "--reference", "7");
        CommandLine.Refuses("there is no array 'organ'", "level", session, recording, "--array", "organ");
        CommandLine.Refuses("no such file", "level", session, folder.File("none.wav"));
    }
}
