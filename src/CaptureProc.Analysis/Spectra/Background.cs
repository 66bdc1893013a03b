namespace CaptureProc.Analysis.Spectra;

/// <summary>What a channel carries when nothing happens: its autocovariance.</summary>
/// <remarks>
/// Thread: [any]. Shape: lags 0..Length−1. The biased estimate under a Parzen window is positive definite whatever the data,
/// which a covariance has to be. The window costs resolution below about fs/LagReach; the fast rise of a click lives far above.
/// Source: Parzen 1961 for the window (from memory).
/// </remarks>
public static class Background
{
    /// <param name="quiet">Samples without any click.</param>
    /// <param name="lags">How many lags to fill.</param>
    /// <param name="reach">Lags beyond this are taken as zero.</param>
    public static double[] Autocovariance(ReadOnlySpan<double> quiet, int lags, int reach)
    {
        var result = new double[lags];
        if (quiet.Length == 0)
            return result;
        for (var lag = 0; lag < Math.Min(lags, Math.Min(reach, quiet.Length)); lag++)
        {
            var x = (double)lag / reach;
            var window = x < 0.5 ? 1 - 6 * x * x * (1 - x) : 2 * (1 - x) * (1 - x) * (1 - x);
            result[lag] = window * Fitting.CholeskyFactor.Dot(quiet[lag..], quiet[..^lag]) / quiet.Length;
        }
        return result;
    }

    /// <summary>Power density over the bins of a transform of a given size: white noise of variance v reads v in every bin.</summary>
    public static double[] Density(ReadOnlySpan<double> quiet, Transform transform, int reach)
    {
        var lags = Autocovariance(quiet, Math.Min(reach, transform.Size / 2), reach);
        var even = new double[transform.Size];
        for (var lag = 0; lag < lags.Length; lag++)
            even[lag] = even[(transform.Size - lag) % transform.Size] = lags[lag];
        var bins = transform.Forward(even);
        var density = new double[bins.Length];
        for (var k = 0; k < bins.Length; k++)
            density[k] = Math.Max(0, bins[k].Real);
        return density;
    }
}
