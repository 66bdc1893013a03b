using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>All arrivals from one source at one place: direct sound, mirror images, and a late tail of images drawn by chance.</summary>
/// <remarks>
/// Thread: [any]. Shape: element 0 is the direct sound. Unit: metres and pressure at 1 m.
/// Up to the room's mixing time the images are those of the shoebox. Beyond it a shoebox rings in ways no real room does
/// (flutter, sweeping echoes, a decay that bends), so the later images stand in random directions, evenly over the sphere, at
/// the density that the lattice has (4πc³t²/V a second) until <see cref="LateArrivalsPerSecond"/>, and with the mean energy
/// 4πc/V·10^(−6t/T) a second. Energy and density join on by construction; the field is diffuse by construction.
/// Source: Allen and Berkley, JASA 65(4), 1979, for the images; Barron and Lee, JASA 84(2), 1988, for the late energy (both from memory).
/// </remarks>
public static partial class ImageField
{
    /// <summary>Late arrivals are no denser than this: more would cost time and, at ten within a millisecond, add nothing.</summary>
    public const double LateArrivalsPerSecond = 10000;

    /// <summary>The arrivals at a place within a time, late ones drawn from <paramref name="chance"/>.</summary>
    public static ImageSource[] At(Room room, Vector3D sourceM, Radiation radiation, Vector3D placeM, double seconds, SeededRandom chance) =>
        At(room, sourceM, radiation, placeM, seconds, chance, out _);

    /// <summary>As above; the direct sound and the mirror images come first, <paramref name="mirroredCount"/> in all.</summary>
    public static ImageSource[] At(
        Room room, Vector3D sourceM, Radiation radiation, Vector3D placeM, double seconds, SeededRandom chance, out int mirroredCount)
    {
        RequireInside(room, sourceM, nameof(sourceM));
        RequireInside(room, placeM, nameof(placeM));
        var images = new List<ImageSource>(1024) { Direct(sourceM, radiation, placeM) };
        AddMirrored(room, sourceM, radiation, placeM, Math.Min(seconds, room.MixingSeconds), images);
        mirroredCount = images.Count;
        if (room.WallScattering > 0)
            Scatter(room, placeM, seconds, chance.Fork("walls that scatter"), images);
        AddLate(room, radiation, placeM, seconds, chance, images);
        return [.. images];
    }

    /// <summary>The direct sound alone.</summary>
    public static ImageSource Direct(Vector3D sourceM, Radiation radiation, Vector3D placeM)
    {
        var gain = radiation.Towards(placeM - sourceM);
        return new ImageSource(sourceM, gain, gain * radiation.TrebleTowards(placeM - sourceM, radiation.Axis));
    }

    private static void AddMirrored(Room room, Vector3D source, Radiation radiation, Vector3D place, double seconds, List<ImageSource> images)
    {
        var reach = seconds * room.SpeedOfSoundMps;
        var (floorLow, wallLow) = room.Reflection(room.ReverberationSeconds);
        var (floorHigh, wallHigh) = room.Reflection(room.HighReverberationSeconds);
        var (countX, countY, countZ) = (Cells(reach, room.SizeM.X), Cells(reach, room.SizeM.Y), Cells(reach, room.SizeM.Z));

        for (var ix = -countX; ix <= countX; ix++)
            for (var iy = -countY; iy <= countY; iy++)
                for (var iz = -countZ; iz <= countZ; iz++)
                {
                    if (ix == 0 && iy == 0 && iz == 0)
                        continue;
                    var position = new Vector3D(
                        Mirrored(source.X, room.SizeM.X, ix), Mirrored(source.Y, room.SizeM.Y, iy), Mirrored(source.Z, room.SizeM.Z, iz));
                    var path = place - position;
                    if (path.Length > reach)
                        continue;
                    // Cell 1 above is one ceiling bounce, cell −1 below one floor bounce; further cells take turns.
                    var floorBounces = iz >= 0 ? iz / 2 : (1 - iz) / 2;
                    var otherBounces = Math.Abs(ix) + Math.Abs(iy) + Math.Abs(iz) - floorBounces;
                    var axis = new Vector3D(Flip(radiation.Axis.X, ix), Flip(radiation.Axis.Y, iy), Flip(radiation.Axis.Z, iz));
                    var sent = radiation.Towards(path, axis);
                    if (room.Surfaces is { } surfaces)
                    {
                        images.Add(surfaces.Reflected(position, sent, sent * radiation.TrebleTowards(path, axis), ix, iy, iz));
                        continue;
                    }
                    images.Add(new ImageSource(position,
                        sent * Math.Pow(floorLow, floorBounces) * Math.Pow(wallLow, otherBounces),
                        sent * radiation.TrebleTowards(path, axis) * Math.Pow(floorHigh, floorBounces) * Math.Pow(wallHigh, otherBounces)));
                }
    }

    private static void AddLate(Room room, Radiation radiation, Vector3D place, double seconds, SeededRandom chance, List<ImageSource> images)
    {
        var c = room.SpeedOfSoundMps;
        var energyPerSecond = 4 * Math.PI * c / room.VolumeM3 * radiation.MeanSquare;
        var (decayLow, decayHigh) = (3 * Math.Log(10) / room.ReverberationSeconds, 3 * Math.Log(10) / room.HighReverberationSeconds);
        var decayBass = 3 * Math.Log(10) / room.BassReverberationSeconds;
        // What goes out evenly, in the mean: half of what the back loses.
        var trebleLeft = Math.Pow(10, -radiation.TrebleLossDb / 40);
        var time = room.MixingSeconds;
        while (true)
        {
            var density = Math.Min(LateArrivalsPerSecond, 4 * Math.PI * c * c * c * time * time / room.VolumeM3);
            time -= Math.Log(1 - chance.Uniform()) / density;
            if (time >= seconds)
                return;
            var z = chance.Uniform(-1, 1);
            var (sin, cos) = Math.SinCos(chance.Uniform(0, 2 * Math.PI));
            var ring = Math.Sqrt(1 - z * z);
            var distance = c * time;
            var pressure = Math.Sqrt(energyPerSecond / density) * (chance.Chance(0.5) ? 1 : -1);
            images.Add(new ImageSource(place + distance * new Vector3D(ring * cos, ring * sin, z),
                pressure * distance * Math.Exp(-decayLow * time), trebleLeft * pressure * distance * Math.Exp(-decayHigh * time))
            {
                BassGain = pressure * distance * Math.Exp(-decayBass * time),
            });
        }
    }

    private static int Cells(double reach, double size) => (int)Math.Ceiling(reach / size) + 1;

    private static double Mirrored(double at, double size, int cell) => int.IsEvenInteger(cell) ? cell * size + at : (cell + 1) * size - at;

    private static double Flip(double component, int cell) => int.IsEvenInteger(cell) ? component : -component;

    private static void RequireInside(Room room, Vector3D place, string name)
    {
        if (!(place.X > 0 && place.Y > 0 && place.Z > 0 && place.X < room.SizeM.X && place.Y < room.SizeM.Y && place.Z < room.SizeM.Z))
            throw new ArgumentOutOfRangeException(name, place, $"The place lies outside the room of {room.SizeM.X:0.##} x {room.SizeM.Y:0.##} x {room.SizeM.Z:0.##} m.");
    }
}
