namespace CaptureProc.Session.Tests;

/// <summary>Sessions to work on: the contract's own example, and one with every member filled.</summary>
internal static class Samples
{
    /// <summary>The example of the published contract, its dots filled in.</summary>
    public const string ContractExample = """
        {
          "format": "captureproc-session", "version": 1,
          "title": "Evening in the old granary", "created": "2026-05-03T10:12:00Z", "modified": "2026-05-03T11:00:00Z",
          "sampleRate": 48000,
          "air": { "temperatureC": 20.0, "speedOfSound": 343.2 },
          "arrays": [ {
            "id": "main", "channels": [1, 2, 3, 4],
            "capsules": [ { "label": "FLU", "azimuthDeg": 45.0, "elevationDeg": 35.264 },
                          { "label": "FRD", "azimuthDeg": -45.0, "elevationDeg": -35.264 },
                          { "label": "BLD", "azimuthDeg": 135.0, "elevationDeg": -35.264 },
                          { "label": "BRU", "azimuthDeg": -135.0, "elevationDeg": 35.264 } ],
            "radiusMm": 14.7, "pattern": 0.5,
            "mount": { "yawDeg": 0, "pitchDeg": 0, "rollDeg": 0 },
            "trimSets": [ { "name": "line-up", "source": "pink", "db": [0.0, 0.12, -0.05, 0.03],
                            "uncertaintyDb": [0.01, 0.01, 0.01, 0.01] } ],
            "activeTrim": "line-up"
          } ],
          "spots": [ {
            "id": "harp", "channels": [5],
            "delay": { "samples": 812.37, "ms": 16.924, "uncertaintySamples": 0.04, "confidence": 0.99, "source": "click" },
            "polarity": 1,
            "direction": { "azimuthDeg": 31.2, "elevationDeg": -4.0, "uncertaintyDeg": 1.5 },
            "distanceM": 3.1, "gainDb": -2.3
          } ],
          "clicks": [ { "timeSeconds": 12.402, "spot": "harp", "snrDb": 41.0, "directToReverberantDb": 4.1 } ],
          "history": [ { "at": "2026-05-03T11:00:00Z", "command": "measure", "inputs": [ { "file": "slate.wav",
            "sha256": "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08" } ] } ]
        }
        """;

    public static SessionDocument Full() => Parse(ContractExample) with
    {
        Arrays =
        [
            .. Parse(ContractExample).Arrays.Select(array => array with
            {
                TrimSets = [.. array.TrimSets.Select(set => set with { ToleranceDb = 0.1 })],
                Patch = new PatchCheck { Ok = true, Order = ["FLU", "FRD", "BLD", "BRU"], Polarity = [1, 1, 1, 1], Confidence = 0.99 },
            }),
        ],
        History =
        [
            new HistoryEntry
            {
                At = new DateTimeOffset(2026, 5, 3, 11, 0, 0, TimeSpan.Zero), Command = "measure", IgnoreStamps = true,
                Inputs = [new HistoryInput { File = "slate.wav", Sha256 = new string('a', 64), Joined = "then" }],
            },
        ],
        Room = new RoomEntry
        {
            ReverberationSeconds = 1.21, UncertaintySeconds = 0.02, EdtSeconds = 1.15, C80Db = 2.4, Claps = 8,
            Bands = [new RoomBand { FrequencyHz = 1000, EdtSeconds = 1.12, T20Seconds = 1.2, T30Seconds = 1.22, C80Db = 2.6 }],
        },
        Notes = new NotesEntry
        {
            Place = "a barn", People = "a trio", Preamps = "in the recorder", Remark = "doors open",
            Takes = [new TakeNote { File = "take.wav", Name = "first" }],
        },
        Stage = new StageEntry
        {
            Array = "main", SpeedOfSound = 343.4, SpeedOfSoundUncertainty = 1.2, TemperatureC = 20.3, TemperatureUncertaintyC = 2, FloorM = -2.1,
            Spots = [new StageSpot { Id = "organ", PositionM = [3, 1, -1], CovarianceM2 = [1e-4, 0, 0, 1e-4, 0, 4e-4], OwnClaps = 1, OtherClaps = 6 }],
            Claps = [new StageClapEntry { TimeSeconds = 12.402, Spot = "organ", PositionM = [3.4, 1, -0.9], CovarianceM2 = [1e-4, 0, 0, 1e-4, 0, 4e-4] }],
            Arrays =
            [
                new StageArrayEntry
                {
                    Id = "main", PositionM = [0, 0, 1], CovarianceM2 = [1e-4, 0, 0, 1e-4, 0, 4e-4], Mount = new MountEntry { YawDeg = 90 },
                    TurnDeg = 90, TurnUncertaintyDeg = 0.5, Note = "turned by 90°",
                },
            ],
            Closures = [new StageClosure { TimeSeconds = 12.402, Microphone = "organ", ResidualMs = 0.02, Used = true }],
            Bleed = [new StageBleed { Player = "organ", Microphone = "main", LaterMs = 8.2, LevelDb = -14.5, AlignedMs = 0.4 }],
            Concerns = ["nothing"],
        },
        Spots =
        [
            new SpotEntry
            {
                Id = "organ", Channels = [6, 7, 8, 9], ArrayId = "main", Polarity = -1, Note = "no click was heard",
                Delay = new SpotDelay { Samples = 12.25, Ms = 0.255, UncertaintySamples = 0.1, Confidence = 0.9, Source = "click" },
                Clock = new SpotClock { DriftPpm = 12.5, UncertaintyPpm = 0.001, AtSeconds = 4.5 },
                Direction = new SpotDirection { AzimuthDeg = 120, ElevationDeg = 10, UncertaintyDeg = 2 },
                DistanceM = 4, GainDb = 1.5,
                Slate = new SlateTraces
                {
                    DelaySamples = 12.25, TimeSeconds = 4.512,
                    Recorded = new TracePair { FromMs = -2.755, ToMs = 6, Array = SlateTrace.ToText([0, 1, -0.5f]), Spot = SlateTrace.ToText([1, -0.5f, 0]) },
                    LinedUp = new TracePair { FromMs = -0.5, ToMs = 3, Array = SlateTrace.ToText([0, 1]), Spot = SlateTrace.ToText([0, 1]) },
                },
                Delays =
                [
                    new ArrayDelay
                    {
                        Array = "main", Samples = 480.5, Ms = 10.0104, UncertaintySamples = 0.05, Confidence = 0.99, Source = "click", Polarity = 1,
                        Clock = new SpotClock { DriftPpm = 12.5, UncertaintyPpm = 0.001, AtSeconds = 4.5 },
                        Direction = new SpotDirection { AzimuthDeg = 12, ElevationDeg = 1, UncertaintyDeg = 2 }, DistanceM = 2, GainDb = -3, Note = "clipped",
                    },
                ],
            },
        ],
    };

    public static SessionDocument Parse(string text) => SessionText.Parse(System.Text.Encoding.UTF8.GetBytes(text), "concert.json");

    public static UnusableInputException Refusal(Action action)
    {
        var refusal = Assert.Throws<UnusableInputException>(action);
        Assert.DoesNotContain('\n', refusal.Message);
        return refusal;
    }
}
