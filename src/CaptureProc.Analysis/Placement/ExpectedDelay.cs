namespace CaptureProc.Analysis.Placement;

/// <summary>What a tape measure says about the delay of a spot.</summary>
/// <remarks>Thread: [any]. Allocates: never. Positive: the spot waits, because the sound reaches the array later.</remarks>
public static class ExpectedDelay
{
    public static double Seconds(double sourceToArrayM, double sourceToSpotM, double speedOfSoundMps) =>
        (sourceToArrayM - sourceToSpotM) / speedOfSoundMps;

    /// <summary>How far a spot stands from its source, given the delay that was measured; the inverse of <see cref="Seconds"/>.</summary>
    public static double SourceToSpotM(double sourceToArrayM, double delaySeconds, double speedOfSoundMps) =>
        sourceToArrayM - delaySeconds * speedOfSoundMps;
}
