using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Sources;

namespace CaptureProc.Simulation.Scenes;

// The hall.
public static partial class RealSceneGenerator
{
    private static Scene WithRoom(Scene scene, Drawing drawing)
    {
        var room = scene.Room;
        var hasAudience = drawing.Has(SceneParts.Audience, out var audience);
        if (drawing.Has(SceneParts.UnlikeSurfaces, out var surfaces))
            room = UnlikeSurfaces(room, surfaces);
        if (hasAudience)
            room = WithAudience(room, audience.Uniform(0.2, 0.8));
        if (drawing.Has(SceneParts.ScatteringWalls, out var scattering))
            room = room with { WallScattering = scattering.Uniform(0.1, 0.5) };
        scene = scene with { Room = room };
        return drawing.Has(SceneParts.StageFloor, out var floor) && floor.Chance(0.5)
            ? scene with { StageFloor = new StageFloor(floor.Uniform(500, 1500), floor.Uniform(-40, -22), SpreadLog(floor, 250, 900)) }
            : scene;
    }

    /// <summary>Absorption that differs from wall to wall by a factor of some and from bass to treble as air and curtains make it.</summary>
    private static Room UnlikeSurfaces(Room room, SeededRandom chance)
    {
        var bassSeconds = room.ReverberationSeconds * chance.Uniform(0.9, 1.5);
        var trebleSeconds = room.ReverberationSeconds * chance.Uniform(0.5, 0.9);
        Span<double> weights = stackalloc double[6];
        foreach (ref var weight in weights)
            weight = Math.Exp(0.6 * chance.Gaussian());
        var (x, y, z) = room.SizeM;
        ReadOnlySpan<double> areas = [y * z, y * z, x * z, x * z, x * y, x * y];
        var (weighted, area) = (0.0, 0.0);
        for (var i = 0; i < 6; i++)
            (weighted, area) = (weighted + weights[i] * areas[i], area + areas[i]);
        var made = new Absorption[6];
        for (var i = 0; i < 6; i++)
        {
            var own = weights[i] * area / weighted;
            made[i] = new Absorption(Share(bassSeconds, own), Share(room.ReverberationSeconds, own), Share(trebleSeconds, own));
        }
        return new RoomSurfaces(made[0], made[1], made[2], made[3], made[4], made[5]).Room(room.SizeM, room.SpeedOfSoundMps);

        double Share(double seconds, double own) => Math.Clamp(room.MeanAbsorption(seconds) * own, 0.01, 0.9);
    }

    /// <summary>Part of the floor is people.</summary>
    private static Room WithAudience(Room room, double share)
    {
        var even = new Absorption(room.MeanAbsorption(room.BassReverberationSeconds), room.MeanAbsorption(room.ReverberationSeconds), room.MeanAbsorption(room.HighReverberationSeconds));
        var surfaces = room.Surfaces ?? new RoomSurfaces(even, even, even, even, even, even);
        var (floor, people) = (surfaces.Floor, Absorption.Audience);
        return (surfaces with
        {
            Floor = new Absorption(Between(floor.Bass, people.Bass), Between(floor.Middle, people.Middle), Between(floor.Treble, people.Treble)),
        }).Room(room.SizeM, room.SpeedOfSoundMps);

        double Between(double bare, double seated) => bare + share * (seated - bare);
    }
}
