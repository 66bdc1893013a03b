using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Scenarios;

/// <summary>The demo's evening: eight players of odd instruments rehearse 'Nine Lanterns' in a tide mill that is none.</summary>
/// <remarks>
/// Thread: [any]. One scene, so that slate, rehearsal and take share microphones, air and recorder gains: the slate until
/// <see cref="SlateSeconds"/>, then the rehearsal for <see cref="RehearsalSeconds"/>, then the take. Everything that goes wrong at real sessions goes wrong here: the array hangs head
/// down, the recorder's gains differ, the glass spot is inverted, the gurdy spot 12 dB too hot, the cimbalom has a
/// tetrahedral spot, one clap clips, one is a flam, and people talk all the time. Place, piece and players are invented.
/// </remarks>
public static class TideMill
{
    public const string Title = "Nine Lanterns, rehearsal in the tide mill";
    public const double SampleRateHz = 48000;
    public const double TemperatureC = 16;
    public const double SlateSeconds = 11.5;
    public const double RehearsalSeconds = 20;
    public const double TakeSeconds = 20;

    /// <summary>What the recorder adds to each channel of the main array; the line-up has to find it.</summary>
    public static IReadOnlyList<double> RecorderGainErrorsDb { get; } = [0, 0.62, -0.41, 0.27];

    // A voice peaks some 85 dB at a metre, hands some 110 (common practice, no source).
    private const double SpeechBelowClapsDb = -25;

    private const double ArrayHeightM = 2.6;
    private static readonly Vector3D ArrayCentreM = new(8.2, 6.1, ArrayHeightM);

    private static readonly Player[] Players =
    [
        new("lithophone", 64, 3.1, 0.95, new(0.1, 0.15, 0.4), MusicKind.Struck, 262) { LevelOffsetDb = 2, Slate = ClickKind.Slate },
        new("glass", 38, 2.3, 1.10, new(-0.2, 0.1, 0.3), MusicKind.Struck, 523) { Inverted = true },
        new("gurdy", 12, 3.5, 0.90, new(-0.3, -0.2, 0.25), MusicKind.Blown, 147) { LevelOffsetDb = 12 },
        new("serpent", -14, 3.7, 1.15, new(-0.6, 0.3, 0.35), MusicKind.Blown, 98) { LevelOffsetDb = -3, Pattern = 0.7 },
        new("saw", -37, 2.1, 1.00, new(0.1, -0.4, 0.3), MusicKind.Blown, 392) { LevelOffsetDb = -6, Pattern = 0.366, Slate = ClickKind.Flam },
        new("cimbalom", -65, 3.0, 0.85, new(-0.2, 0.3, 0.5), MusicKind.Plucked, 110) { IsTetrahedral = true },
        new("ocarina", -120, 2.5, 1.30, new(0.25, 0.2, -0.1), MusicKind.Blown, 294) { ClippedByDb = 4 },
        new("bell-wheel", 127, 3.6, 1.50, new(0.5, -0.4, 0.45), MusicKind.Struck, 784) { LevelOffsetDb = -4, Pattern = 0.6 },
    ];

    /// <summary>The build of the spot at the cimbalom: 12 mm, cardioid, its front turned by <see cref="CimbalomYawDeg"/>.</summary>
    public const double CimbalomYawDeg = 115;

    public static Scene Scene(ulong seed)
    {
        var chance = new SeededRandom(seed).Fork("tide mill");
        return new Scene(Hall, SampleRateHz, SlateSeconds + RehearsalSeconds + TakeSeconds, seed)
        {
            Arrays = [MainArray],
            Sources = [.. Array.ConvertAll(Players, p => new SceneSource(p.Id, p.PlaceM) { Radiation = RadiationOf(p, chance) })],
            Spots = [.. Array.ConvertAll(Players, Spot)],
            Clicks = [.. Slate()],
            Programme = [.. Talk(chance), .. Music(chance, "rehearsal", SlateSeconds, RehearsalSeconds), .. Music(chance, "music", SlateSeconds + RehearsalSeconds, TakeSeconds)],
            Noise = new NoiseFloor(SignalToNoiseDb: 42, PinkShare: 0.3),
        };
    }

    /// <summary>Before the slate: a fingernail on the grille before each capsule of the main array, in the order of the channels.</summary>
    public static Scene Taps(ulong seed) => new(Hall, SampleRateHz, TapSeconds(MainArray.Capsules.Capsules.Count), seed)
    {
        Arrays = [MainArray],
        Sources = [.. MainArray.Capsules.LookDirections().Select((look, i) => new SceneSource(TapAt(i), MainArray.CentreM + (MainArray.Capsules.RadiusM + GrilleM) * look))],
        Clicks = [.. MainArray.Capsules.Capsules.Select((_, i) => new ClickEvent(TapSeconds(i), TapAt(i)) { LevelDb = TapDb })],
        Noise = new NoiseFloor(SignalToNoiseDb: 50, PinkShare: 0.3),
    };

    // A grille stands a finger's breadth before its capsule, and a nail on it is some 40 dB softer than hands (common practice, no source).
    private const double GrilleM = 0.015;
    private const double TapDb = -40;

    private static string TapAt(int capsule) => $"tap {capsule + 1}";

    private static double TapSeconds(int tap) => 0.8 + 1.1 * tap;

    /// <summary>18 x 12 x 7 m of old timber; a hard stone floor.</summary>
    private static Room Hall { get; } = new(new Vector3D(18, 12, 7), 1.15)
    {
        HighReverberationSeconds = 0.75,
        FloorAbsorption = 0.05,
        SpeedOfSoundMps = Air.SpeedOfSoundMps(TemperatureC),
    };

    private static SceneArray MainArray { get; } = new("main", ArrayCentreM,
        new CapsuleArray(SceneGenerator.Tetrahedron, 0.015, 0.5, Rotation3D.FromYawPitchRollDeg(0, 0, 180)))
    {
        GainErrorsDb = RecorderGainErrorsDb,
    };

    private static Radiation RadiationOf(Player player, SeededRandom chance)
    {
        // Claps are held in front of the player, who faces the array more or less, and sound forward and down.
        var towards = ArrayCentreM - player.PlaceM;
        var axis = new Vector3D(towards.X, towards.Y, -0.3 * towards.Length).Normalised() + 0.4 * new Vector3D(chance.Gaussian(), chance.Gaussian(), 0);
        return new Radiation(axis.Normalised(), 0.75);
    }

    private static SceneSpot Spot(Player player) => new(player.Id, player.Id, player.PlaceM + player.SpotOffsetM)
    {
        Pattern = player.Pattern,
        LevelOffsetDb = player.LevelOffsetDb,
        Inverted = player.Inverted,
        Capsules = player.IsTetrahedral
            ? new CapsuleArray(SceneGenerator.Tetrahedron, 0.012, 0.5, Rotation3D.FromYawPitchRollDeg(CimbalomYawDeg, 0, 0))
            : null,
    };

    private static IEnumerable<ClickEvent> Slate()
    {
        for (var i = 0; i < Players.Length; i++)
            yield return new ClickEvent(ClickSeconds(i), Players[i].Id)
            {
                Kind = Players[i].Slate,
                LevelDb = 0.8 * (i % 3),
                ClippedByDb = Players[i].ClippedByDb,
            };
    }

    private static double ClickSeconds(int click) => 0.8 + 1.25 * click + 0.07 * (click % 2);

    /// <summary>The next player along has something to say after every clap.</summary>
    private static IEnumerable<ProgrammeEvent> Talk(SeededRandom chance)
    {
        for (var i = 0; i < Players.Length; i++)
        {
            var speech = SpeechSounds.Make(0.6, SampleRateHz, chance.Fork($"talk {i}"));
            Gain.Apply(speech, Gain.FromDb(SpeechBelowClapsDb));
            yield return new ProgrammeEvent(ClickSeconds(i) + 0.45, Players[(i + 3) % Players.Length].Id, speech);
        }
    }

    /// <summary>Everybody plays from just after a point in time until all has died away before the next.</summary>
    private static IEnumerable<ProgrammeEvent> Music(SeededRandom chance, string part, double fromSeconds, double seconds)
    {
        foreach (var player in Players)
        {
            var music = MusicSounds.Make(player.Music, seconds - 1.5, player.LowestHz, SampleRateHz, chance.Fork($"{part} {player.Id}"));
            Gain.Apply(music, Gain.FromDb(-10));
            yield return new ProgrammeEvent(fromSeconds + 0.2, player.Id, music);
        }
    }

    /// <param name="AzimuthDeg">As seen from under the array.</param>
    /// <param name="ReachM">Distance over the floor from under the array.</param>
    /// <param name="HeightM">Of the instrument.</param>
    /// <param name="SpotOffsetM">From the instrument to its spot.</param>
    private sealed record Player(string Id, double AzimuthDeg, double ReachM, double HeightM, Vector3D SpotOffsetM, MusicKind Music, double LowestHz)
    {
        public double Pattern { get; init; } = 0.5;

        public double LevelOffsetDb { get; init; }

        public bool Inverted { get; init; }

        public bool IsTetrahedral { get; init; }

        public ClickKind Slate { get; init; }

        public double? ClippedByDb { get; init; }

        public Vector3D PlaceM => ArrayCentreM + ReachM * new Direction(AzimuthDeg, 0).ToUnitVector() - new Vector3D(0, 0, ArrayHeightM - HeightM);
    }
}
