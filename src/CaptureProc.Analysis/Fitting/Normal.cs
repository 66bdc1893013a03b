namespace CaptureProc.Analysis.Fitting;

/// <summary>The normal distribution.</summary>
internal static class Normal
{
    /// <summary>Probability of more than this many deviations; absolute error below 1.5e-7.</summary>
    /// <remarks>Source: Abramowitz and Stegun 7.1.26 (from memory).</remarks>
    public static double Above(double deviations)
    {
        var x = Math.Abs(deviations) / Math.Sqrt(2);
        var t = 1 / (1 + 0.3275911 * x);
        var tail = 0.5 * t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) * Math.Exp(-x * x);
        return deviations >= 0 ? tail : 1 - tail;
    }
}
