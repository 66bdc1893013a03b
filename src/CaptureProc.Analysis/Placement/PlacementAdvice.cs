namespace CaptureProc.Analysis.Placement;

/// <summary>What to do with the array.</summary>
public enum PlacementMove
{
    /// <summary>The ratio is what is wanted, as far as can be told.</summary>
    Stay,

    /// <summary>The hall is louder than wanted.</summary>
    Closer,

    /// <summary>The direct sound is louder than wanted: there is room to step back.</summary>
    Farther,

    /// <summary>The uncertainty is larger than the distance from what is wanted.</summary>
    Unsure,
}

/// <summary>From a ratio to a distance.</summary>
/// <remarks>
/// Thread: [any]. The direct sound of a player falls by 20 lg of the distance, and the hall is equally loud everywhere, so the
/// ratio is 0 dB at the critical distance and the distance has to be multiplied by 10^((ratio − wanted)/20) (Kuttruff, Room Acoustics).
/// With several players the distance is that of one who would be as loud: the mean over players of 1/r² counts.
/// </remarks>
/// <param name="RatioDb">Direct over the rest, now.</param>
/// <param name="UncertaintyDb">Standard deviation of the former.</param>
/// <param name="WantedDb">What it should be.</param>
/// <param name="DistanceM">Of the players, now; null where not known.</param>
public readonly record struct PlacementAdvice(double RatioDb, double UncertaintyDb, double WantedDb, double? DistanceM)
{
    /// <summary>
    /// What is wanted where nobody says otherwise: 0 dB, the critical distance, at which direct sound and hall are equal (Kuttruff,
    /// Room Acoustics). That an array stands about there is common practice, no source.
    /// </summary>
    public const double UsualWantedDb = 0;

    // A ratio within this of the wanted one is not worth a walk to the stand: a tenth of the distance.
    private const double WorthMovingDb = 1;

    // A ratio known better than this may be close to what is wanted without being in doubt: then the array stands well.
    private const double UnsureFromDb = 1.5;

    private double SurplusDb => RatioDb - WantedDb;

    public PlacementMove Move => Math.Abs(SurplusDb) switch
    {
        var off when off < UncertaintyDb && UncertaintyDb > UnsureFromDb => PlacementMove.Unsure,
        < WorthMovingDb => PlacementMove.Stay,
        _ => SurplusDb < 0 ? PlacementMove.Closer : PlacementMove.Farther,
    };

    /// <summary>By how much the distance has to be multiplied.</summary>
    public double Factor => Math.Pow(10, SurplusDb / 20);

    public double? WantedDistanceM => DistanceM * Factor;

    /// <summary>The distance of one player as loud as the mean of several of equal power; null for none.</summary>
    public static double? CommonDistanceM(IReadOnlyCollection<double> distancesM) =>
        distancesM.Count == 0 ? null : 1 / Math.Sqrt(distancesM.Average(r => 1 / (r * r)));
}
