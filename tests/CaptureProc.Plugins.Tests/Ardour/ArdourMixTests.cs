using CaptureProc.Cli;
using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Plugins.Tests.Ardour;

/// <summary>The whole mix in a real host: array track, spot tracks with Spot and with Place, a tetrahedral spot, all into a master of four.</summary>
[Collection(NativePlugins.Collection)]
public sealed class ArdourMixTests(NativePlugins plugins)
{
    private const int RateHz = 48000;
    private const int Frames = 60000;

    // -110 dBFS: the sums are formed in another order, in 32-bit floats, from signals around -20 dBFS.
    private const double LimitDbfs = -110;

    [Fact]
    public void TheMastersExportEqualsTheCommandLinesMix()
    {
        using var folder = new Scratch();
        var session = Session();
        var sessionPath = plugins.Publish(session);
        try
        {
            var take = Noise(10, seed: 11);
            Write(folder.At("take.wav"), take);
            Write(folder.At("array.wav"), take[..4]);
            Write(folder.At("harp.wav"), take[4..5]);
            Write(folder.At("viol.wav"), take[5..6]);
            Write(folder.At("corner.wav"), take[6..10]);

            var stderr = new StringWriter();
            var exitCode = CommandLineProgram.Run(
                ["mix", sessionPath, folder.At("take.wav"), folder.At("mix.wav"), "--bits", "32f"], TextWriter.Null, stderr);
            Assert.True(exitCode is 0 or 1, stderr.ToString());

            var said = ArdourRender.Run(plugins.BundlePath, plugins.Published, $"""
                track array 4 {folder.At("array.wav")}
                insert CaptureProc Array
                set Session = 1
                set Array from = 0
                track harp 4 {folder.At("harp.wav")}
                insert CaptureProc Place 1
                set Session = 1
                set Spot = 1
                track viol 4 {folder.At("viol.wav")}
                insert CaptureProc Spot
                set Session = 1
                set Spot = 2
                insert CaptureProc Place 1
                set Delay from = 1
                set Polarity = 1
                set Direction from = 1
                set Azimuth = -48.5
                set Elevation = 7.5
                track corner 4 {folder.At("corner.wav")}
                insert CaptureProc Spot 4
                set Session = 1
                set Spot = 1
                set Four channels = 1
                """, folder.At("ardour.wav"));
            Assert.Contains("reloaded corner", said, StringComparison.Ordinal);

            var (expected, actual) = (Read(folder.At("mix.wav")), Read(folder.At("ardour.wav")));
            Assert.Equal(4, actual.Length);
            var worst = 0.0;
            for (var channel = 0; channel < 4; channel++)
                for (var n = 0; n < Frames; n++)
                    worst = Math.Max(worst, Math.Abs(expected[channel][n] - (double)actual[channel][n]));
            var worstDbfs = 20 * Math.Log10(worst);
            Assert.True(worstDbfs < LimitDbfs, $"The export differs from the mix by up to {worstDbfs:0.0} dBFS.\n{said}");
            TestContext.Current.SendDiagnosticMessage("Ardour's export against captureproc mix: {0:0.0} dBFS at worst", worstDbfs);
        }
        finally
        {
            plugins.Withdraw(session.Title!);
        }
    }

    private static SessionDocument Session()
    {
        var capsules = Tetrahedron.Main.Capsules;
        return new SessionDocument
        {
            Title = "Ardour mix", SampleRate = RateHz, Created = DateTimeOffset.UnixEpoch,
            Arrays =
            [
                new ArrayEntry
                {
                    Id = "main", Channels = [1, 2, 3, 4], Capsules = capsules, RadiusMm = 14.7, Pattern = 0.5, ActiveTrim = "line-up",
                    TrimSets = [new TrimSet { Name = "line-up", Source = "pink", Db = [0, 0.12, -0.35, 0.4] }],
                },
                new ArrayEntry
                {
                    Id = "corner", Channels = [7, 8, 9, 10], Capsules = capsules, RadiusMm = 20, Pattern = 0.6,
                    Mount = new MountEntry { YawDeg = 35, RollDeg = 180 },
                },
            ],
            Spots =
            [
                Spot("harp", [5], 812.37, -1, 31.2, -4),
                Spot("viol", [6], 433.081, 1, -48.5, 7.5),
                Spot("corner", [7, 8, 9, 10], 290.5, -1, 120, 10) with { ArrayId = "corner" },
            ],
        };
    }

    private static SpotEntry Spot(string id, int[] channels, double delaySamples, int polarity, double azimuthDeg, double elevationDeg) => new()
    {
        Id = id, Channels = channels, Polarity = polarity,
        GainDb = 0,
        Delay = new SpotDelay { Samples = delaySamples, Ms = delaySamples / 48, UncertaintySamples = 0.04, Confidence = 0.99, Source = "click" },
        Direction = new SpotDirection { AzimuthDeg = azimuthDeg, ElevationDeg = elevationDeg, UncertaintyDeg = 1 },
    };

    private static float[][] Noise(int channels, int seed)
    {
        var random = new Random(seed);
        var noise = new float[channels][];
        for (var c = 0; c < channels; c++)
        {
            noise[c] = new float[Frames];
            for (var n = 0; n < Frames; n++)
                noise[c][n] = 0.2f * (2 * random.NextSingle() - 1);
        }
        return noise;
    }

    private static void Write(string path, float[][] channels)
    {
        using var output = WavOutput.Create(path, new WavOutputFormat(RateHz, channels.Length, SampleFormat.Float32), replace: false);
        output.Write(channels, 0, channels[0].Length);
        output.Complete();
    }

    private static float[][] Read(string path)
    {
        using var input = WavInput.Open(path);
        var channels = new float[input.ChannelCount][];
        for (var c = 0; c < channels.Length; c++)
            channels[c] = new float[Frames];
        Assert.Equal(Frames, input.FrameCount);
        Assert.Equal(Frames, input.Read(channels, Frames));
        return channels;
    }

    private sealed class Scratch : IDisposable
    {
        private readonly DirectoryInfo folder = Directory.CreateTempSubdirectory("captureproc-ardour-");

        public string At(string name) => Path.Combine(folder.FullName, name);

        public void Dispose() => folder.Delete(recursive: true);
    }
}
