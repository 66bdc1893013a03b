using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Analysis.Tests.Placement;

/// <summary>An ensemble that plays in a hall, drawn at random, and the ratio that is true of it.</summary>
internal sealed class RehearsalScene
{
    /// <summary>Nothing above 2.8 kHz is looked at, and half the rate is half the work.</summary>
    public const double SampleRateHz = 24000;

    public const double Seconds = 14;

    private const double TailSeconds = 1.5;
    private const int Keys = 4;
    private const double LeastExpectedDb = -8;

    private RehearsalScene(Scene scene) => Scene = scene;

    public Scene Scene { get; }

    /// <param name="seed">Everything hangs on it.</param>
    /// <param name="players">How many.</param>
    /// <param name="reachDeg">They sit within this to either side of the front.</param>
    public static RehearsalScene Draw(ulong seed, int players, double reachDeg)
    {
        var chance = new SeededRandom(seed).Fork("rehearsal");
        while (true)
        {
            var room = new Room(new Vector3D(chance.Uniform(9, 24), chance.Uniform(8, 18), chance.Uniform(3.5, 10)), chance.Uniform(0.5, 2.5));
            var centre = new Vector3D(room.SizeM.X * chance.Uniform(0.3, 0.6), room.SizeM.Y * chance.Uniform(0.4, 0.6), chance.Uniform(1.5, 3));
            if (Seat(room, centre, players, reachDeg, chance) is not { } sources)
                continue;
            var hall = new ReverberantRoom(room.VolumeM3, room.ReverberationSeconds, room.SpeedOfSoundMps);
            if (hall.DirectToReverberantDb(FirstOrderPattern.Omni, sources.Average(s => (s.PositionM - centre).Length)) < LeastExpectedDb)
                continue;
            return new RehearsalScene(new Scene(room, SampleRateHz, Seconds, chance.NextUInt64())
            {
                Arrays = [new SceneArray("main", centre, new CapsuleArray(SceneGenerator.Tetrahedron, 0.0147, 0.5, Rotation3D.Identity))],
                Sources = sources,
                Spots = sources.ConvertAll(s => Spot(s, room, chance)),
                Programme = sources.ConvertAll(s => Music(s, chance)),
                Noise = new NoiseFloor(50),
                LongestTailSeconds = TailSeconds,
            });
        }
    }

    /// <summary>The same ensemble before microphones as they are: unlike capsules with a body between them, spots of every make, hum and ventilation.</summary>
    /// <param name="only">Some of it; null for all.</param>
    public RehearsalScene WithRealMicrophones(SceneParts? only = null)
    {
        const SceneParts All = SceneParts.Array | SceneParts.SpotPatterns | SceneParts.SpotLowCuts | SceneParts.SpotPresence | SceneParts.SpotOffAxis
            | SceneParts.Hum | SceneParts.Ventilation;
        var drawn = RealSceneGenerator.Draw(Scene.Seed, new RealSceneRanges
        {
            Parts = only ?? All, SampleRateHz = SampleRateHz, SpotCount = Scene.Spots.Count, ArrayRadiusM = Scene.Arrays[0].Capsules.RadiusM,
        });
        return new RehearsalScene(Scene with
        {
            Arrays = [Scene.Arrays[0] with { Build = drawn.Arrays[0].Build }],
            Spots = [.. Scene.Spots.Zip(drawn.Spots, (spot, real) => spot with { Build = real.Build, Pattern = real.Pattern })],
            Background = drawn.Background,
        });
    }

    public float[][] Render() => SceneRenderer.Render(Scene).Channels;

    /// <summary>The scene as a session with a slate describes it; the slate's gains are off by chance as hands are no instruments.</summary>
    public PlacementInput Describe(bool withSpots, double gainErrorDb = 2, int mostSpots = int.MaxValue)
    {
        var chance = new SeededRandom(Scene.Seed).Fork("slate");
        var array = Scene.Arrays[0].Capsules;
        var c = Scene.Room.SpeedOfSoundMps;
        // What claps line up: with microphones as they are that is more than geometry. A moment of silence tells it.
        var meant = SceneRenderer.Render(Scene with { Programme = [], Background = [], DurationSeconds = 0.1 }).Truth;
        var players = Scene.Spots.Select((spot, i) =>
        {
            var truth = meant.Spot(spot.Id);
            var gainDb = -truth.DirectOverArrayDb + chance.Uniform(-gainErrorDb, gainErrorDb);
            return new PlayerInput(spot.Id, [4 + i], [1], truth.DelaySamples + 0.05 * chance.Gaussian(), Math.Pow(10, gainDb / 20), truth.Direction.ToUnitVector())
            {
                FieldShare = PlayerInput.ShareOfField(truth.SpotDistanceM, truth.ArrayDistanceM),
            };
        });
        return new PlacementInput(SampleRateHz, c, [0, 1, 2, 3], EncoderDesign.Design(array, SampleRateHz, c, Correction.Full), array.RadiusM,
            withSpots ? [.. players.Take(mostSpots)] : []);
    }

    /// <summary>Energy of the direct sound of all players over that of everything later, in W at the array's place, over the bands.</summary>
    /// <remarks>From the arrivals themselves through an ideal omni, by one transform of the whole; nothing of what is being judged is in it.</remarks>
    public double TrueRatioDb(IReadOnlyList<OctaveBand> bands)
    {
        var fft = new RealFft<double>(1 << 19);
        var (direct, rest) = (new Sum(fft), new Sum(fft));
        var chance = new SeededRandom(Scene.Seed);
        var centre = Scene.Arrays[0].CentreM;
        var probe = new Capsule(centre, Vector3D.Front, 1);
        var seconds = Math.Min(TailSeconds, Scene.Room.ReverberationSeconds);
        var response = new double[(int)(seconds * SampleRateHz) + 2 * BandLimitedImpulse.ReachFrames];
        foreach (var source in Scene.Sources)
        {
            var arrivals = ImageField.At(Scene.Room, source.PositionM, source.Radiation, centre, seconds, chance.Fork($"tail from {source.Id} at main"));
            var music = direct.Spectrum(Scene.Programme.Single(p => p.SourceId == source.Id).Samples);
            probe.Respond(arrivals.AsSpan(0, 1), Scene.Room, SampleRateHz, response);
            direct.Add(music, response);
            probe.Respond(arrivals.AsSpan(1), Scene.Room, SampleRateHz, response);
            rest.Add(music, response);
        }
        return 10 * Math.Log10(bands.Sum(direct.Energy) / bands.Sum(rest.Energy));
    }

    private static List<SceneSource>? Seat(Room room, Vector3D centre, int players, double reachDeg, SeededRandom chance)
    {
        var sources = new List<SceneSource>();
        var usualM = chance.Uniform(1.5, 4);
        for (var tries = 0; sources.Count < players; tries++)
        {
            if (tries == 200)
                return null;
            var (sin, cos) = Math.SinCos(chance.Uniform(-reachDeg, reachDeg) * Math.PI / 180);
            var distanceM = usualM * chance.Uniform(0.75, 1.35);
            var place = new Vector3D(centre.X + distanceM * cos, centre.Y + distanceM * sin, chance.Uniform(0.8, 1.6));
            if (place.X < 0.5 || place.Y < 0.5 || place.X > room.SizeM.X - 0.5 || place.Y > room.SizeM.Y - 0.5
                || sources.Exists(other => (other.PositionM - place).Length < 0.9))
                continue;
            // Players face the array, more or less.
            var axis = (centre - place).Normalised() + 0.6 * new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian());
            sources.Add(new SceneSource($"player {sources.Count + 1}", place) { Radiation = new Radiation(axis.Normalised(), chance.Uniform(0.65, 1)) });
        }
        return sources;
    }

    private static SceneSpot Spot(SceneSource source, Room room, SeededRandom chance)
    {
        while (true)
        {
            var away = new Vector3D(chance.Gaussian(), chance.Gaussian(), 0.5 * Math.Abs(chance.Gaussian())).Normalised();
            var place = source.PositionM + chance.Uniform(0.3, 0.8) * away;
            if (place.X > 0.1 && place.Y > 0.1 && place.X < room.SizeM.X - 0.1 && place.Y < room.SizeM.Y - 0.1)
                return new SceneSpot($"spot of {source.Id}", source.Id, place) { LevelOffsetDb = chance.Uniform(-6, 6) };
        }
    }

    /// <summary>One instrument in one key after the other, as music modulates: a single scale would ask the room at ten pitches only.</summary>
    private static ProgrammeEvent Music(SceneSource source, SeededRandom chance)
    {
        var kind = (MusicKind)chance.Index(3);
        var lowestHz = chance.Uniform(110, 400);
        var music = new double[(int)((Seconds - 1) * SampleRateHz)];
        for (var key = 0; key < Keys; key++)
        {
            var part = MusicSounds.Make(kind, (Seconds - 1) / Keys, lowestHz * chance.Uniform(0.8, 1.25), SampleRateHz, chance.Fork($"{source.Id} {key}"));
            part.AsSpan(0, Math.Min(part.Length, music.Length / Keys)).CopyTo(music.AsSpan(key * (music.Length / Keys)));
        }
        Gain.Apply(music, Gain.FromDb(chance.Uniform(-6, 6)));
        return new ProgrammeEvent(0.1, source.Id, music);
    }

    /// <summary>A sum of sounds through responses, as one long spectrum.</summary>
    private sealed class Sum(RealFft<double> fft)
    {
        private readonly double[] re = new double[fft.BinCount], im = new double[fft.BinCount], padded = new double[fft.Size];

        public void Add((double[] Re, double[] Im) a, double[] response)
        {
            var b = Spectrum(response);
            for (var k = 0; k < re.Length; k++)
            {
                re[k] += a.Re[k] * b.Re[k] - a.Im[k] * b.Im[k];
                im[k] += a.Re[k] * b.Im[k] + a.Im[k] * b.Re[k];
            }
        }

        public double Energy(OctaveBand band)
        {
            var (first, end) = band.Bins(SampleRateHz / fft.Size);
            var sum = 0.0;
            for (var k = first; k < end; k++)
                sum += re[k] * re[k] + im[k] * im[k];
            return sum;
        }

        public (double[] Re, double[] Im) Spectrum(double[] signal)
        {
            padded.AsSpan(signal.Length).Clear();
            signal.CopyTo(padded, 0);
            var bins = (Re: new double[fft.BinCount], Im: new double[fft.BinCount]);
            fft.Forward(padded, bins.Re, bins.Im);
            return bins;
        }
    }
}
