using CaptureProc.Dsp.Geometry;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Wav;

namespace CaptureProc.Report.Tests;

/// <summary>An invented evening: an array before harp, oboe, a bass and a far choir, simulated, with the true values as its measurement.</summary>
internal sealed class EveningSession
{
    public const int RateHz = 48_000;

    public static readonly (string Id, Vector3D PlaceM)[] Players =
    [
        ("harp", new(8.4, 7.1, 1.0)), ("oboe", new(8.9, 5.3, 1.3)), ("bass", new(7.6, 3.4, 0.9)), ("choir", new(11.8, 4.6, 2.6)),
    ];

    private static readonly string[] Labels = ["FLU", "FRD", "BLD", "BRU"];

    private EveningSession(SessionDocument document, SceneRecording recording) => (Document, Recording) = (document, recording);

    public SessionDocument Document { get; }

    public SceneRecording Recording { get; }

    public static EveningSession Make()
    {
        var capsules = Labels.Select(label => CapsuleLabel.TryParse(label, out var capsule) ? capsule : throw new InvalidOperationException(label)).ToArray();
        var array = new ArrayEntry
        {
            Id = "main", Channels = [1, 2, 3, 4], Capsules = capsules, RadiusMm = 14.7, Pattern = 0.5,
            TrimSets = [new TrimSet { Name = "line-up", Source = "pink", Db = [0, 0.12, -0.05, 0.03], UncertaintyDb = [0, 0.01, 0.01, 0.01] }],
            ActiveTrim = "line-up",
        };
        var centre = new Vector3D(5, 5, 2.2);
        var scene = new Scene(new Room(new(18, 10, 7), 1.3) { HighReverberationSeconds = 0.9 }, RateHz, 7, Seed: 5)
        {
            Arrays = [new SceneArray("main", centre, array.ToCapsuleArray())],
            Sources = [.. Players.Select(p => new SceneSource(p.Id, p.PlaceM))],
            Spots = [.. Players.Select(p => new SceneSpot(p.Id, p.Id, p.PlaceM + new Vector3D(-0.5, 0.1, 0.2)) { Inverted = p.Id == "oboe" })],
            Clicks = [.. Players.Select((p, i) => new ClickEvent(0.6 + 1.5 * i, p.Id))],
            Noise = new NoiseFloor(42),
            LongestTailSeconds = 0.7,
        };
        var recording = SceneRenderer.Render(scene);
        return new EveningSession(new SessionDocument
        {
            Title = "Two lanterns, second evening", SampleRate = RateHz,
            Created = new DateTimeOffset(2026, 5, 3, 16, 12, 0, TimeSpan.Zero), Modified = new DateTimeOffset(2026, 5, 3, 17, 40, 0, TimeSpan.Zero),
            Arrays = [array],
            Spots = [.. Players.Select((p, i) => Spot(p.Id, 5 + i, recording.Truth.Spot(p.Id)))],
            Clicks = [.. recording.Truth.Clicks.Select(c => new ClickEntry
            {
                Spot = c.Click.SourceId, TimeSeconds = c.ArrivalSeconds, SnrDb = c.SignalToNoiseDb, DirectToReverberantDb = c.DirectToReverberantDb,
            })],
            History =
            [
                new HistoryEntry { At = new DateTimeOffset(2026, 5, 3, 16, 12, 0, TimeSpan.Zero), Command = "start" },
                new HistoryEntry { At = new DateTimeOffset(2026, 5, 3, 16, 30, 0, TimeSpan.Zero), Command = "level", Inputs = [new HistoryInput { File = "pink.wav", Sha256 = new string('a', 64) }] },
                new HistoryEntry { At = new DateTimeOffset(2026, 5, 3, 17, 40, 0, TimeSpan.Zero), Command = "measure", Inputs = [new HistoryInput { File = "slate.wav", Sha256 = "" }] },
            ],
        }, recording);
    }

    /// <summary>Writes the slate beside the session.</summary>
    public string WriteSlate(string folder)
    {
        var path = Path.Combine(folder, "slate.wav");
        using var output = WavOutput.Create(path, new WavOutputFormat(RateHz, Recording.Channels.Length, SampleFormat.Pcm24), replace: false);
        output.Write(Recording.Channels, 0, Recording.FrameCount);
        output.Complete();
        return path;
    }

    public ReportMaterial Material(string slatePath)
    {
        using var input = WavInput.Open(slatePath);
        return new ReportMaterial { MadeAt = new DateTimeOffset(2026, 5, 3, 18, 5, 0, TimeSpan.Zero), Waveforms = new ClickWaveformReader(Document, Document.MainArray(), input).ReadAll() };
    }

    private static SpotEntry Spot(string id, int channel, SpotTruth truth) => new()
    {
        Id = id, Channels = [channel],
        Delay = new SpotDelay
        {
            Samples = truth.DelaySamples, Ms = truth.DelaySamples * 1000 / RateHz, UncertaintySamples = id == "choir" ? 0.31 : 0.03,
            Confidence = id == "choir" ? 0.82 : 0.99, Source = "click",
        },
        Polarity = truth.Polarity,
        Direction = new SpotDirection { AzimuthDeg = truth.Direction.AzimuthDeg, ElevationDeg = truth.Direction.ElevationDeg, UncertaintyDeg = id == "choir" ? 6 : 1.2 },
        DistanceM = truth.ArrayDistanceM, GainDb = -truth.DirectOverArrayDb,
    };
}
