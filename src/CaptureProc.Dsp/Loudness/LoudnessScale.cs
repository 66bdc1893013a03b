namespace CaptureProc.Dsp.Loudness;

/// <summary>Power to loudness, and what each loudspeaker counts.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// Source: ITU-R BS.1770-5, Annex 1 (the sum, the weights of the 5.1 layout) and Annex 3 (other layouts).
/// </remarks>
public static class LoudnessScale
{
    /// <summary>Takes out the gain that K-weighting has at 997 Hz, so that a full-scale 997 Hz sine in one channel reads −3.01.</summary>
    public const double OffsetDb = -0.691;

    /// <summary>Weighted, summed mean square (full scale = 1) to LUFS; 0 gives −∞.</summary>
    public static double ToLufs(double power) => OffsetDb + 10 * Math.Log10(power);

    /// <summary>1.41 for a loudspeaker at the side, within 30° of ear height; 1 for any other. An LFE channel is left out by weight 0.</summary>
    public static double WeightOfLoudspeaker(double azimuthDeg, double elevationDeg)
    {
        var side = Math.Abs(Math.IEEERemainder(azimuthDeg, 360));
        return side is >= 60 and <= 120 && Math.Abs(elevationDeg) < 30 ? 1.41 : 1;
    }
}
