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
/// <param name="IsThroughSpots">Whether the ratio comes from the spots or from the array alone.</param>
public sealed record RehearsalResult(double FrontOverBackDb, double LevelDbfs, IReadOnlyList<BandResult> Bands, bool IsThroughSpots)
{
    // What simulated rooms leave unexplained beyond the statistics of the levels: neighbours in the spots, their share of the room.
    private const double ModelDb = 0.6;

    /// <summary>Direct sound of all players over everything later in W, in dB over all bands; null where no band sounds.</summary>
    public double? DirectToReverberantDb => Direct > 0 && Rest > 0 ? 10 * Math.Log10(Direct / Rest) : null;

    /// <summary>Standard deviation of the ratio.</summary>
    public double UncertaintyDb => !IsThroughSpots ? PlaneWaveShare.UncertaintyDb
        : Math.Sqrt(ModelDb * ModelDb + Math.Pow(10 / Math.Log(10) * Bands.Sum(b => b.Powers.DirectSigma) / Math.Max(Direct, 1e-300), 2));

    /// <summary>Diffuseness over all bands, each by its energy.</summary>
    public double? Diffuseness
    {
        get
        {
            var power = Bands.Sum(b => b.Diffuseness is null ? 0 : b.Power);
            return power > 0 ? Bands.Sum(b => b.Power * (b.Diffuseness ?? 0)) / power : null;
        }
    }

    private double Direct => Bands.Sum(b => b.Powers.Direct);

    private double Rest => Bands.Sum(b => b.Powers.Rest);
}
