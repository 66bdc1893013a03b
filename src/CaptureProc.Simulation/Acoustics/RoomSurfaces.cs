using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>Share of energy that a surface swallows: below 250 Hz, in the middle, above 4 kHz.</summary>
public readonly record struct Absorption(double Bass, double Middle, double Treble)
{
    /// <summary>A level wooden stage: Bies and others, Engineering Noise Control, table of absorption (from memory).</summary>
    public static readonly Absorption StageFloor = new(0.30, 0.10, 0.07);

    /// <summary>People on upholstered chairs (same source).</summary>
    public static readonly Absorption Audience = new(0.45, 0.80, 0.85);
}

/// <summary>The six surfaces of a shoebox, each with an absorption that depends on frequency.</summary>
/// <remarks>Thread: [any]. Three bands joined by first-order slopes, so a reflection is smooth over frequency and minimum phase.</remarks>
public sealed record RoomSurfaces(Absorption Back, Absorption Front, Absorption Right, Absorption Left, Absorption Floor, Absorption Ceiling)
{
    /// <summary>The image of a cell of the lattice, weakened by every surface on its way.</summary>
    internal ImageSource Reflected(Vector3D position, double sent, double sentTreble, int ix, int iy, int iz)
    {
        var (bass, middle, treble) = (sent, sent, sentTreble);
        Along(Back, Front, ix);
        Along(Right, Left, iy);
        Along(Floor, Ceiling, iz);
        return new ImageSource(position, middle, treble) { BassGain = bass };

        void Along(Absorption low, Absorption high, int cell)
        {
            // Cell 1 above is one bounce at the high surface, cell −1 below one at the low surface; further cells take turns.
            var atLow = cell >= 0 ? cell / 2 : (1 - cell) / 2;
            var atHigh = Math.Abs(cell) - atLow;
            bass *= Rest(low.Bass, atLow) * Rest(high.Bass, atHigh);
            middle *= Rest(low.Middle, atLow) * Rest(high.Middle, atHigh);
            treble *= Rest(low.Treble, atLow) * Rest(high.Treble, atHigh);
        }

        static double Rest(double absorption, int bounces) => Math.Pow(1 - absorption, 0.5 * bounces);
    }

    /// <summary>A room whose diffuse tail decays as these surfaces make it decay (Eyring), air left out.</summary>
    public Room Room(Vector3D sizeM, double speedOfSoundMps)
    {
        var room = new Room(sizeM, 1) { SpeedOfSoundMps = speedOfSoundMps };
        var middle = Seconds(room, a => a.Middle);
        return new Room(sizeM, middle)
        {
            SpeedOfSoundMps = speedOfSoundMps,
            BassReverberationSeconds = Seconds(room, a => a.Bass),
            HighReverberationSeconds = Seconds(room, a => a.Treble),
            Surfaces = this,
        };
    }

    private double Seconds(Room room, Func<Absorption, double> band)
    {
        var (x, y, z) = room.SizeM;
        var swallowed = y * z * (band(Back) + band(Front)) + x * z * (band(Right) + band(Left)) + x * y * (band(Floor) + band(Ceiling));
        return 24 * Math.Log(10) * room.VolumeM3 / (-room.SpeedOfSoundMps * room.SurfaceM2 * Math.Log(1 - swallowed / room.SurfaceM2));
    }
}
