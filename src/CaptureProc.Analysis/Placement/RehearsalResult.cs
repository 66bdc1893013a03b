namespace CaptureProc.Analysis.Placement;

/// <summary>What one octave of the music says.</summary>
/// <param name="Band">Which.</param>
/// <param name="Power">Of W, on a scale common to the bands.</param>
/// <param name="Diffuseness">0 plane wave, 1 diffuse; null where nothing sounded.</param>
/// <param name="FromArray">Direct and rest as the array alone tells them.</param>
/// <param name="ThroughSpots">The same through the players' spots; null without them.</param>
public sealed record BandResult(OctaveBand Band, double Power, double? Diffuseness, BandPower FromArray, BandPower? ThroughSpots)
{
    /// <summary>The better of the two.</summary>
    public BandPower Powers => ThroughSpots ?? FromArray;

    /// <summary>Share of the direct sound in W, 0…1; null where nothing sounded.</summary>
    public double? DirectShare => Powers.Direct + Powers.Rest > 0 ? Math.Clamp(Powers.Direct / (Powers.Direct + Powers.Rest), 0, 1) : null;
}

/// <summary>What a stretch of music says about the place of the array.</summary>
/// <param name="FrontOverBackDb">See <see cref="FrontAndBack"/>.</param>
/// <param name="LevelDbfs">RMS of W over the stretch, AES17.</param>
/// <param name="Bands">Octaves in which the array resolves the field.</param>
/// <param name="PartialCount">As how many partials of equal power the music samples the room; null where the array alone had to tell.</param>
public sealed record RehearsalResult(double FrontOverBackDb, double LevelDbfs, IReadOnlyList<BandResult> Bands, double? PartialCount)
{
    /// <summary>Half the interval that holds the true ratio in 95 of 100 cases.</summary>
    public double Interval95Db => Within95 * UncertaintyDb;

    private static readonly double NeperDb = 10 / Math.Log(10);

    /// <summary>What hangs on patterns and aim of the spots, which nobody tells; a standard deviation.</summary>
    public double FieldDoubtDb { get; init; }

    // What simulated rooms leave unexplained when there are many partials: capsules and spots that are unlike, the body between the capsules,
    // neighbours in the spots, noise (SimulatedRehearsalTests).
    private const double ModelDb = 0.8;

    // Two standard deviations hold 95 % of a bell curve, to a fiftieth.
    private const double Within95 = 1.96;

    // A spot at half a metre has this much of the room beside its direct sound, in power (12 dB below); it interferes with each partial by chance.
    private const double RoomInSpots = 0.06;

    /// <summary>Whether the ratio comes from the spots or from the array alone.</summary>
    public bool IsThroughSpots => PartialCount is not null && Completeness is not { IsArrayBetter: true };

    /// <summary>Whether the spots know all of the direct sound; null without spots, or where nothing sounds.</summary>
    public SpotCompleteness? Completeness => PartialCount is not null
        && RatioDb(Bands.Select(b => b.ThroughSpots ?? b.FromArray)) is { } spots && RatioDb(Bands.Select(b => b.FromArray)) is { } array
        ? new SpotCompleteness(spots, SpotsSigmaDb, array) : null;

    /// <summary>Direct sound of all players over everything later in W, in dB over all bands; null where no band sounds.</summary>
    public double? DirectToReverberantDb => RatioDb(Bands.Select(Powers));

    /// <summary>Direct and rest of a band as the figure that is given has them.</summary>
    public BandPower Powers(BandResult band) => IsThroughSpots ? band.Powers : band.FromArray;

    /// <summary>Share of the direct sound in W, 0…1; null where nothing sounded.</summary>
    public double? DirectShare(BandResult band) => Powers(band) is var p && p.Direct + p.Rest > 0 ? Math.Clamp(p.Direct / (p.Direct + p.Rest), 0, 1) : null;

    /// <summary>Standard deviation of the ratio.</summary>
    public double UncertaintyDb => Completeness?.SigmaDb ?? PlaneWaveShare.UncertaintyDb;

    internal static double? RatioDb(IEnumerable<BandPower> powers)
    {
        var (direct, rest) = (0.0, 0.0);
        foreach (var power in powers)
            (direct, rest) = (direct + power.Direct, rest + power.Rest);
        // Forty decibels either way are no direct sound, or nothing else.
        return direct + rest > 0 ? 10 * Math.Log10(Math.Max(direct, 1e-4 * rest) / Math.Max(rest, 1e-4 * direct)) : null;
    }

    // Of the spots' figure if they know all of the direct sound.
    private double SpotsSigmaDb
    {
        get
        {
            var partials = PartialCount ?? 0;
            var levels = Bands.Sum(b => b.Powers.DirectSigma) / Math.Max(Bands.Sum(b => b.Powers.Direct), 1e-300);
            var interference = 2 * RoomInSpots / Math.Max(partials, 1);
            return Math.Sqrt(ModelDb * ModelDb + FieldDoubtDb * FieldDoubtDb + NeperDb * NeperDb * (levels * levels + interference));
        }
    }

    /// <summary>Diffuseness over all bands, each by its energy.</summary>
    public double? Diffuseness
    {
        get
        {
            var power = Bands.Sum(b => b.Diffuseness is null ? 0 : b.Power);
            return power > 0 ? Bands.Sum(b => b.Power * (b.Diffuseness ?? 0)) / power : null;
        }
    }
}
