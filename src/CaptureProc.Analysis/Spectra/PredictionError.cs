using CaptureProc.Analysis.Fitting;

namespace CaptureProc.Analysis.Spectra;

/// <summary>The filter that turns a background noise white: what linear prediction from its past cannot foresee.</summary>
/// <remarks>
/// Thread: [any]. It only looks back, so whatever comes later in a recording leaves no trace before it: exactly what a
/// search for the first arrival needs, and what whitening in the frequency domain cannot give.
/// Source: Levinson's recursion, as in any text on linear prediction.
/// </remarks>
public sealed class PredictionError
{
    private const int Order = 32;

    // -50 dB of white noise added to what is measured: a background of a single hum must not become a notch of infinite depth.
    private const double WhiteShare = 1e-5;

    private readonly double[] taps;

    private PredictionError(double[] taps) => this.taps = taps;

    /// <param name="quiet">Samples of the background alone.</param>
    public static PredictionError Of(ReadOnlySpan<double> quiet)
    {
        var r = Background.Autocovariance(quiet, Order + 1, 4 * Order);
        r[0] = r[0] * (1 + WhiteShare) + 1e-30;
        var a = new double[Order + 1];
        var before = new double[Order + 1];
        a[0] = 1;
        var error = r[0];
        for (var m = 1; m <= Order; m++)
        {
            var sum = 0.0;
            for (var i = 0; i < m; i++)
                sum += a[i] * r[m - i];
            var reflection = -sum / error;
            a.CopyTo(before, 0);
            for (var i = 1; i <= m; i++)
                a[i] = before[i] + reflection * before[m - i];
            error *= 1 - reflection * reflection;
        }
        Array.Reverse(a);
        return new PredictionError(a);
    }

    /// <summary>The whole signal through the filter; before its first sample it is taken as silent.</summary>
    public double[] Apply(ReadOnlySpan<double> signal)
    {
        var result = new double[signal.Length];
        for (var n = 0; n < result.Length; n++)
        {
            var past = Math.Min(Order, n);
            result[n] = CholeskyFactor.Dot(taps.AsSpan(Order - past), signal.Slice(n - past, past + 1));
        }
        return result;
    }
}
