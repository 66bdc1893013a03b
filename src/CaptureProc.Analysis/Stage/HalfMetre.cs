using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>The delay of a spot at which nobody clapped, from its place alone.</summary>
/// <remarks>
/// The player sits half a metre from it, nobody knows on which side: the way to the array is longer or shorter by up to that half
/// metre, evenly (a uniform direction on the sphere has a uniform cosine), so by 0.5/√3 m in the mean square; and the half metre is
/// itself known to 0.2 m. A microphone between player and array, or the other way round, is 3 ms apart: the uncertainty says so.
/// </remarks>
internal static class HalfMetre
{
    private const double DistanceM = 0.5, DistanceSigmaM = 0.2;

    /// <summary>What the spot has to wait, and the deviation of that, in seconds.</summary>
    public static (double Seconds, double SigmaSeconds) DelayOf(StagePlace spot, double speedMps)
    {
        var way = spot.PositionM.Length;
        // The mean of |p + d·u| over all directions u is |p| + d²/(3|p|), for d below |p|.
        var mean = way + DistanceM * DistanceM / (3 * Math.Max(way, DistanceM)) - DistanceM;
        var side = DistanceM / Math.Sqrt(3);
        var variance = side * side + DistanceSigmaM * DistanceSigmaM * 4 / 3 + spot.VarianceAlong(spot.PositionM.Normalised());
        return (mean / speedMps, Math.Sqrt(variance) / speedMps);
    }

    /// <summary>Deviation of the player's direction as seen from the array, about each of two axes.</summary>
    public static double DirectionSigmaDeg(StagePlace spot) =>
        Math.Atan2(Math.Sqrt(DistanceM * DistanceM / 3 + spot.FloorSigmaM * spot.FloorSigmaM), spot.PositionM.Length) * 180 / Math.PI;
}
