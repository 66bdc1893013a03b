namespace CaptureProc.Analysis.Placement;

/// <summary>How much a near source raises the low end of a directional microphone.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never. On axis, for a point source: |1 + (1−α)/(jkr)| of the level far away.
/// Source: Eargle, The Microphone Book, eq. 4.6, for the gradient; the pattern's share of it follows.
/// </remarks>
public static class Proximity
{
    public static double RiseDb(FirstOrderPattern pattern, double distanceM, double frequencyHz, double speedOfSoundMps)
    {
        var reactive = NearFieldShare(pattern, distanceM, frequencyHz, speedOfSoundMps);
        return 10 * Math.Log10(1 + reactive * reactive);
    }

    /// <summary>The frequency at which the rise reaches a level; 0 for an omni, which has none.</summary>
    public static double FrequencyOfRiseHz(FirstOrderPattern pattern, double distanceM, double riseDb, double speedOfSoundMps)
    {
        if (!(riseDb > 0))
            throw new ArgumentOutOfRangeException(nameof(riseDb), riseDb, "The rise has to be above 0 dB.");
        // The share falls as 1/f: at 1 Hz it is as many times too large as the frequency asked for has hertz.
        return NearFieldShare(pattern, distanceM, 1, speedOfSoundMps) / Math.Sqrt(Math.Pow(10, riseDb / 10) - 1);
    }

    /// <summary>(1−α)/(kr).</summary>
    private static double NearFieldShare(FirstOrderPattern pattern, double distanceM, double frequencyHz, double speedOfSoundMps)
    {
        if (!(distanceM > 0))
            throw new ArgumentOutOfRangeException(nameof(distanceM), distanceM, "The distance has to be above 0 m.");
        if (!(frequencyHz > 0))
            throw new ArgumentOutOfRangeException(nameof(frequencyHz), frequencyHz, "The frequency has to be above 0 Hz.");
        return (1 - pattern.Alpha) * speedOfSoundMps / (2 * Math.PI * frequencyHz * distanceM);
    }
}
