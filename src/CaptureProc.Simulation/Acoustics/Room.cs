using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Simulation.Acoustics;

/// <summary>A shoebox with one corner at the origin and the opposite one at <see cref="SizeM"/>; x front, y left, z up.</summary>
/// <remarks>
/// Thread: [any]. The walls absorb evenly, as much as Eyring's formula asks for the wanted reverberation time; the floor may be
/// harder or softer than the rest, and then the rest makes up for it. Above <see cref="CrossoverHz"/> the reverberation time
/// goes over to <see cref="HighReverberationSeconds"/>, which stands for porous walls and air together.
/// Source: Eyring, T = 24 ln10·V / (−c·S·ln(1−ᾱ)).
/// </remarks>
public sealed record Room(Vector3D SizeM, double ReverberationSeconds)
{
    /// <summary>Where the reverberation time goes over from low to high, a first-order slope.</summary>
    public const double CrossoverHz = 4000;

    /// <summary>Reverberation time well above the crossover; as below it unless said.</summary>
    public double HighReverberationSeconds { get; init; } = ReverberationSeconds;

    /// <summary>Share of energy the floor swallows; null = like the other surfaces.</summary>
    public double? FloorAbsorption { get; init; }

    /// <summary>Where the bass of the surfaces goes over to their middle, a first-order slope.</summary>
    public const double BassCrossoverHz = 250;

    /// <summary>Every surface with an absorption of its own; null = they absorb evenly.</summary>
    /// <remarks>The reverberation times then are what is said of the diffuse tail: <see cref="RoomSurfaces.Room"/> makes both agree.</remarks>
    public RoomSurfaces? Surfaces { get; init; }

    /// <summary>Reverberation time in the bass; as in the middle unless said.</summary>
    public double BassReverberationSeconds { get; init; } = ReverberationSeconds;

    /// <summary>Share of energy that a reflection scatters into other directions; 0 = mirrors.</summary>
    public double WallScattering { get; init; }

    public double SpeedOfSoundMps { get; init; } = 343.2;

    public double VolumeM3 => SizeM.X * SizeM.Y * SizeM.Z;

    public double SurfaceM2 => 2 * (SizeM.X * SizeM.Y + SizeM.Y * SizeM.Z + SizeM.Z * SizeM.X);

    /// <summary>How far sound goes between two reflections, on average: 4V/S.</summary>
    public double MeanFreePathM => 4 * VolumeM3 / SurfaceM2;

    /// <summary>From here on the reflections are drawn by chance rather than by geometry: 2·√V in milliseconds (V in m³).</summary>
    /// <remarks>√V ms is the common estimate of the time after which a room mixes (Polack 1988, from memory); twice that to be safe.</remarks>
    public double MixingSeconds => 0.002 * Math.Sqrt(VolumeM3);

    /// <summary>Mean absorption that gives a reverberation time in this room.</summary>
    public double MeanAbsorption(double reverberationSeconds)
    {
        if (!(reverberationSeconds > 0))
            throw new ArgumentOutOfRangeException(nameof(reverberationSeconds), reverberationSeconds, "A reverberation time is above 0 seconds.");
        return 1 - Math.Exp(-24 * Math.Log(10) * VolumeM3 / (SpeedOfSoundMps * SurfaceM2 * reverberationSeconds));
    }

    /// <summary>Pressure reflection factors of the floor and of every other surface for a reverberation time.</summary>
    public (double Floor, double Elsewhere) Reflection(double reverberationSeconds)
    {
        var mean = MeanAbsorption(reverberationSeconds);
        if (FloorAbsorption is not { } floor)
            return (Math.Sqrt(1 - mean), Math.Sqrt(1 - mean));

        var floorArea = SizeM.X * SizeM.Y;
        var elsewhere = (mean * SurfaceM2 - floor * floorArea) / (SurfaceM2 - floorArea);
        if (floor is < 0 or > 1 || elsewhere is < 0 or > 1)
            throw new InvalidOperationException(
                $"A floor that absorbs {floor:0.##} cannot go with {reverberationSeconds:0.##} s in this room; the other surfaces would have to absorb {elsewhere:0.##}.");
        return (Math.Sqrt(1 - floor), Math.Sqrt(1 - elsewhere));
    }
}
