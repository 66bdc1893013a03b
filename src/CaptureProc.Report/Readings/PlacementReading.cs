namespace CaptureProc.Report.Readings;

/// <summary>What a direct-to-reverberant ratio, taken at a known distance, says about the place of the array.</summary>
/// <remarks>
/// The direct sound falls by 6 dB when the distance doubles and the reverberation stays, so the ratio is 0 dB at the critical
/// distance: r_c = d·10^(ratio/20). Source: Kuttruff, Room Acoustics, for the diffuse field; it holds for W, which hears the
/// room evenly, and for sources that send evenly.
/// </remarks>
internal readonly record struct PlacementReading(double DistanceM, double DirectToReverberantDb)
{
    // Twice one of the other: an ear hears which leads (common practice, no source).
    private const double BalancedDb = 3;

    public double CriticalDistanceM => DistanceAt(0);

    /// <summary>Where the array would hear this ratio.</summary>
    public double DistanceAt(double ratioDb) => DistanceM * Math.Pow(10, (DirectToReverberantDb - ratioDb) / 20);

    public string InWords => DirectToReverberantDb switch
    {
        >= BalancedDb => "direct sound leads",
        > -BalancedDb => "in balance",
        _ => "the hall leads",
    };
}
