using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Scenes;

/// <summary>Draws random scenes: an ensemble round a main array in a random hall, one click at every spot.</summary>
/// <remarks>
/// Thread: [any]. The same seed and ranges give the same scene. Every click is as loud as it takes to reach the array's W
/// with the same peak, so that the signal-to-noise ratio of the ranges is that of each click, not of their mean.
/// </remarks>
public static partial class SceneGenerator
{
    /// <summary>The usual tetrahedron: front-left-up, front-right-down, back-left-down, back-right-up.</summary>
    public static IReadOnlyList<Direction> Tetrahedron { get; } =
    [
        new(45, LatitudeDeg), new(-45, -LatitudeDeg), new(135, -LatitudeDeg), new(-135, LatitudeDeg),
    ];

    /// <summary>asin(1/√3): a tetrahedron's corner stands this far above or below the horizon.</summary>
    private const double LatitudeDeg = 35.264389682754654;

    public static Scene Draw(ulong seed, SceneRanges ranges)
    {
        var chance = new SeededRandom(seed).Fork("scene");
        var room = DrawRoom(ranges, chance);
        var array = DrawArray(ranges, room, chance);
        var sources = new List<SceneSource>();
        var spots = new List<SceneSpot>();
        var clicks = new List<ClickEvent>();
        var time = 0.5;
        for (var i = 0; i < ranges.SpotCount; i++)
        {
            var source = DrawSource($"player {i + 1}", ranges, room, array.CentreM, sources, chance);
            sources.Add(source);
            spots.Add(DrawSpot($"spot {i + 1}", source, ranges, room, chance));
            time += ranges.SecondsBetweenClicks + chance.Uniform(-0.1, 0.1);
            if (!chance.Chance(ranges.MissingShare))
                clicks.Add(DrawClick(time - ranges.SecondsBetweenClicks, source, array.CentreM, ranges, chance));
        }
        var duration = time + 0.4;
        return new Scene(room, ranges.SampleRateHz, duration, chance.NextUInt64())
        {
            Arrays = [array],
            Spots = spots,
            Sources = sources,
            Clicks = clicks,
            Programme = ranges.TalkDb is { } talkDb ? Talk(clicks, sources, talkDb, duration, ranges.SampleRateHz, chance) : [],
            Noise = new NoiseFloor(ranges.SignalToNoiseDb, PinkShare: chance.Uniform(0, 0.5)),
        };
    }

    private static Room DrawRoom(SceneRanges ranges, SeededRandom chance) =>
        new(new Vector3D(chance.Uniform(9, 24), chance.Uniform(8, 18), chance.Uniform(3.5, 10)),
            chance.Uniform(ranges.ShortestReverberationSeconds, ranges.LongestReverberationSeconds))
        {
            SpeedOfSoundMps = 343.2,
        };

    private static SceneArray DrawArray(SceneRanges ranges, Room room, SeededRandom chance)
    {
        // Within the middle of the room, so that an ensemble fits round it; on a stand of 1.4 to 3 m.
        var centre = new Vector3D(
            room.SizeM.X * chance.Uniform(0.35, 0.65), room.SizeM.Y * chance.Uniform(0.35, 0.65), chance.Uniform(1.4, 3.0));
        var mount = ranges.RandomMount
            ? Rotation3D.FromYawPitchRollDeg(chance.Uniform(-180, 180), chance.Uniform(-30, 30), chance.Uniform(-30, 30))
            : Rotation3D.Identity;
        return new SceneArray("main", centre, new CapsuleArray(Tetrahedron, ranges.ArrayRadiusM, ranges.ArrayPattern, mount));
    }

    private static SceneSource DrawSource(
        string id, SceneRanges ranges, Room room, Vector3D centre, List<SceneSource> others, SeededRandom chance)
    {
        while (true)
        {
            var height = chance.Uniform(0.8, 1.7);
            var drop = height - centre.Z;
            var distance = chance.Uniform(ranges.NearestClickM, ranges.FarthestClickM);
            if (distance * distance < drop * drop)
                continue;
            var azimuthRad = chance.Uniform(-Math.PI, Math.PI);
            var reach = Math.Sqrt(distance * distance - drop * drop);
            var place = centre + new Vector3D(reach * Math.Cos(azimuthRad), reach * Math.Sin(azimuthRad), drop);
            if (!Fits(room, place, 0.7) || others.Exists(other => (other.PositionM - place).Length < 1.2))
                continue;
            // Hands face anywhere: the array may well stand behind the clap, and then hears the floor better than the clap.
            var axis = new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian()).Normalised();
            return new SceneSource(id, place) { Radiation = new Radiation(axis, chance.Uniform(0.65, 1)) };
        }
    }

    private static SceneSpot DrawSpot(string id, SceneSource source, SceneRanges ranges, Room room, SeededRandom chance)
    {
        while (true)
        {
            var direction = new Vector3D(chance.Gaussian(), chance.Gaussian(), chance.Gaussian()).Normalised();
            var place = source.PositionM + chance.Uniform(ranges.NearestSpotM, ranges.FarthestSpotM) * direction;
            if (!Fits(room, place, 0.3))
                continue;
            var yawDeg = chance.Uniform(-180, 180);
            return new SceneSpot(id, source.Id, place)
            {
                Pattern = chance.Uniform(0.35, 0.8),
                Capsules = chance.Chance(ranges.TetrahedralSpotShare)
                    ? new CapsuleArray(Tetrahedron, 0.012, 0.5, Rotation3D.FromYawPitchRollDeg(yawDeg, 0, 0))
                    : null,
                LevelOffsetDb = chance.Uniform(-ranges.LargestLevelOffsetDb, ranges.LargestLevelOffsetDb),
                Inverted = chance.Chance(ranges.InvertedShare),
            };
        }
    }

    private static ClickEvent DrawClick(double time, SceneSource source, Vector3D centre, SceneRanges ranges, SeededRandom chance)
    {
        var path = centre - source.PositionM;
        return new ClickEvent(time, source.Id)
        {
            Kind = chance.Chance(ranges.FlamShare) ? ClickKind.Flam
                : chance.Chance(ranges.SlateShare) ? ClickKind.Slate : ClickKind.Clap,
            LevelDb = Gain.ToDb(path.Length / source.Radiation.Towards(path)),
            ClippedByDb = chance.Chance(ranges.ClippedShare) ? chance.Uniform(2, 10) : null,
        };
    }

    /// <summary>Somebody at a random place says something in every pause.</summary>
    private static List<ProgrammeEvent> Talk(
        List<ClickEvent> clicks, List<SceneSource> sources, double talkDb, double duration, double sampleRateHz, SeededRandom chance)
    {
        var talk = new List<ProgrammeEvent>();
        for (var i = 0; i < clicks.Count; i++)
        {
            var start = clicks[i].TimeSeconds + 0.35;
            var end = i + 1 < clicks.Count ? clicks[i + 1].TimeSeconds - 0.05 : duration;
            if (end - start < 0.2)
                continue;
            var speaker = sources[chance.Index(sources.Count)];
            var speech = SpeechSounds.Make(end - start, sampleRateHz, chance);
            Gain.Apply(speech, Gain.FromDb(talkDb + clicks[i].LevelDb));
            talk.Add(new ProgrammeEvent(start, speaker.Id, speech));
        }
        return talk;
    }

    private static bool Fits(Room room, Vector3D place, double marginM) =>
        place.X > marginM && place.Y > marginM && place.Z > marginM
        && place.X < room.SizeM.X - marginM && place.Y < room.SizeM.Y - marginM && place.Z < room.SizeM.Z - marginM;
}
