using CaptureProc.Cli;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>The built bundle against the commands: what a host plays is what the command line writes.</summary>
/// <remarks>
/// Both sides run as a user would run them: the commands on a session and a take of several files, the plug-ins through
/// <c>captureproc host</c>, which takes the reported latency out, with the session published and chosen by name.
/// </remarks>
[Collection(NativePlugins.Collection)]
public sealed class CommandLineNullTests : IDisposable
{
    private const string Title = "Null";
    private const int Frames = 30000;

    private readonly NativePlugins plugins;
    private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("captureproc-null-");
    private readonly string session;
    private readonly string[] take;

    public CommandLineNullTests(NativePlugins plugins)
    {
        this.plugins = plugins;
        session = plugins.Publish(Session);
        take = [Recording("array", 4, 71), Recording("harp", 1, 72), Recording("piano", 2, 73), Recording("organ", 4, 74), Recording("flute", 1, 75)];
    }

    private static SessionDocument Session => new()
    {
        Title = Title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch, Air = new AirEntry { TemperatureC = 17, SpeedOfSound = 341.4 },
        Arrays =
        [
            Array("main", 1, 14.7, 0.5, new MountEntry { YawDeg = 5, RollDeg = 180 }) with
            {
                TrimSets = [new TrimSet { Name = "line-up", Db = [0, 0.37, -0.81, 1.2] }, new TrimSet { Name = "by ear", Db = [-1, 0, 0, 2] }],
                ActiveTrim = "line-up",
            },
            Array("organ", 8, 25, 0.7, new MountEntry { YawDeg = 90 }),
        ],
        Spots =
        [
            Spot("harp", 123.456, -1, 31.2, -4, 5),
            Spot("piano", 811.02, 1, -40, 0, 6, 7),
            Spot("organ", 45.75, -1, 100, 10, 8, 9, 10, 11) with { ArrayId = "organ" },
            Spot("flute", 2200.5, 1, -150, 35, 12),
        ],
    };

    public void Dispose()
    {
        plugins.Withdraw(Title);
        folder.Delete(recursive: true);
    }

    [Theory]
    [InlineData("full", "ambix", "line-up")]
    [InlineData("full", "fuma", "by ear")]
    [InlineData("live", "ambix", "none")]
    [InlineData("none", "ambix", "line-up")]
    public void TheArrayIsWhatConvertWrites(string correction, string format, string trim)
    {
        var converted = File("converted");
        Run(["convert", session, .. take, converted, "--bits", "32f", "--correction", correction, "--format", format, "--trim", trim, "--yaw", "20", "--pitch", "-5"]);
        var hosted = Host("CaptureProc Array", take[0], "Trim set=" + (trim == "none" ? "As recorded" : trim), "Correction=" + correction, "Format=" + format, "Turn: yaw=20", "Turn: pitch=-5");
        AssertNull(converted, hosted);

        if (correction != "full")
            AssertNull(converted, Host("CaptureProc Array Live", take[0], "Trim set=" + (trim == "none" ? "As recorded" : trim), "Correction=" + correction, "Turn: yaw=20", "Turn: pitch=-5"));
    }

    [Fact]
    public void WithNothingSetButTheSessionTheArrayIsWhatConvertWrites()
    {
        var converted = File("converted");
        Run(["convert", session, .. take, converted, "--bits", "32f"]);
        AssertNull(converted, Host("CaptureProc Array", take[0]));
    }

    [Fact]
    public void TheSpotsAreWhatAlignWrites()
    {
        var aligned = Path.Combine(folder.FullName, "aligned");
        Run(["align", session, .. take, aligned, "--bits", "32f", "--later", "3.5"]);
        AssertNull(Path.Combine(aligned, "harp.wav"), Host("CaptureProc Spot", take[1], "Spot=harp", "Later by=3.5"));
        AssertNull(Path.Combine(aligned, "piano.wav"), Host("CaptureProc Spot Stereo", take[2], "Spot=piano", "Later by=3.5"));
        AssertNull(Path.Combine(aligned, "organ.wav"), Host("CaptureProc Spot 4", take[3], "Spot=organ", "Later by=3.5", "Four channels=Capsules to B-format"));
        AssertNull(Path.Combine(aligned, "flute.wav"), Host("CaptureProc Spot", take[4], "Spot=flute", "Later by=3.5"));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void ThePlacedSpotsAreWhatAlignPlaces(int order)
    {
        var aligned = Path.Combine(folder.FullName, "aligned");
        Run(["align", session, .. take, aligned, "--bits", "32f", "--place", "--order", $"{order}"]);
        AssertNull(Path.Combine(aligned, "harp-placed.wav"), Host($"CaptureProc Place {order}", take[1], "Spot=harp"));
        AssertNull(Path.Combine(aligned, "flute-placed.wav"), Host($"CaptureProc Place {order}", take[4], "Spot=flute"));
        if (order == 1)
            AssertNull(Path.Combine(aligned, "organ-placed.wav"), Host("CaptureProc Spot 4", take[3], "Spot=organ", "Four channels=Capsules to B-format"));
    }

    [Fact]
    public void TheWholeMixIsTheSumOfThePlugIns()
    {
        // Of mono spots: a stereo spot's place is a matter of taste, and has no class of its own.
        SessionStore.Update(session, s => s with { Spots = [s.Spots[0], s.Spots[3]] });
        var mixed = File("mixed");
        Run(["mix", session, .. take, mixed, "--bits", "32f"]);
        var parts = new[]
        {
            Read(Host("CaptureProc Array", take[0])), Read(Host("CaptureProc Place 1", take[1], "Spot=harp")),
            Read(Host("CaptureProc Place 1", take[4], "Spot=flute")),
        };
        var sum = Enumerable.Range(0, 4).Select(channel => Enumerable.Range(0, Frames).Select(n => parts.Sum(part => part[channel][n])).ToArray()).ToArray();
        Assert.InRange(Playing.DifferenceDb(Read(mixed), sum), double.NegativeInfinity, -120);
    }

    private static ArrayEntry Array(string id, int firstChannel, double radiusMm, double pattern, MountEntry mount) => Tetrahedron.Main with
    {
        Id = id, Channels = [.. Enumerable.Range(firstChannel, 4)], RadiusMm = radiusMm, Pattern = pattern, Mount = mount,
    };

    private static SpotEntry Spot(string id, double samples, int polarity, double azimuthDeg, double elevationDeg, params int[] channels) => new()
    {
        Id = id, Channels = channels, Polarity = polarity, Direction = new SpotDirection { AzimuthDeg = azimuthDeg, ElevationDeg = elevationDeg },
        GainDb = 0,
        Delay = new SpotDelay { Samples = samples, Ms = samples / 48, UncertaintySamples = 0.04, Confidence = 0.99 },
    };

    private string Host(string className, string input, params string[] settings)
    {
        var output = File("hosted");
        Run(["host", plugins.BundlePath, input, output, "--class", className, "--replace", "--set", $"Session={Title}", .. settings.SelectMany(s => new[] { "--set", s })]);
        return output;
    }

    private static void AssertNull(string commandLine, string hosted) =>
        Assert.InRange(Playing.DifferenceDb(Read(commandLine), Read(hosted)), double.NegativeInfinity, -120);

    private static void Run(string[] args)
    {
        var (stdout, stderr) = (new StringWriter(), new StringWriter());
        // 1 is a finding: channels of the recording that this session does not use.
        Assert.True(CommandLineProgram.Run(args, stdout, stderr) is 0 or 1, $"{string.Join(' ', args)}\n{stdout}{stderr}");
    }

    private string File(string name) => Path.Combine(folder.FullName, name + ".wav");

    private string Recording(string name, int channels, int seed)
    {
        var noise = Playing.Noise(channels, Frames, seed);
        using var output = WavOutput.Create(File(name), new WavOutputFormat(48000, channels, SampleFormat.Float32), replace: false);
        output.Write(noise, 0, Frames);
        output.Complete();
        return File(name);
    }

    private static float[][] Read(string path)
    {
        using var input = WavInput.Open(path);
        Assert.Equal(Frames, input.FrameCount);
        var samples = Enumerable.Range(0, input.ChannelCount).Select(_ => new float[Frames]).ToArray();
        input.Read(samples, Frames);
        return samples;
    }
}
