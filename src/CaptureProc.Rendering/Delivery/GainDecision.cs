namespace CaptureProc.Rendering.Delivery;

/// <summary>The one gain that a programme gets, and whether it reaches the target with it.</summary>
/// <param name="GainDb">Applied to every channel alike.</param>
/// <param name="WantedGainDb">What the target would have needed.</param>
/// <param name="IsHeldByCeiling">The target would have pushed the true peak over the ceiling.</param>
/// <remarks>Gain alone: nothing here limits, so a programme whose peaks are too high for the target stays below the target.</remarks>
public readonly record struct GainDecision(double GainDb, double WantedGainDb, bool IsHeldByCeiling)
{
    /// <param name="targetLufs">Integrated loudness of the rendering; null leaves the level as it is.</param>
    /// <param name="ceilingDbtp">The most that rendering and channels may reach.</param>
    public static GainDecision For(ProgrammeLoudness measured, double? targetLufs, double ceilingDbtp)
    {
        if (targetLufs is not { } target)
            return new GainDecision(0, 0, false);
        var wantedDb = target - measured.Rendering.IntegratedLufs;
        var allowedDb = ceilingDbtp - measured.HighestTruePeakDbtp;
        return new GainDecision(Math.Min(wantedDb, allowedDb), wantedDb, wantedDb > allowedDb);
    }
}
