using CaptureProc.Analysis.Fitting;

namespace CaptureProc.Analysis.Clicks;

/// <summary>How the reference around an arrival may differ from the direct sound: noise, the unknown rest of the click, reflections, misfit.</summary>
/// <remarks>
/// Thread: [any]. Shape: row-major, lower triangle only, one row a sample of the window.
/// The sum of reflections Σ h_m·s(t−m) with independent taps of variance v_m has the covariance Σ v_m·s_m·s_mᵀ. Since the click
/// is silent before it begins, an early sample shares only few taps with any other, which saves two thirds of the work.
/// </remarks>
internal static class ArrivalCovariance
{
    /// <summary>Nothing is expected to follow the direct sound sooner: a detour of 12 cm.</summary>
    private const double TailFromSeconds = 0.00035;

    /// <summary>From here on, reflections are as likely as ever.</summary>
    private const double TailFullSeconds = 0.0010;

    private const double MisfitReachSeconds = 0.00015;

    /// <param name="data">Window and background.</param>
    /// <param name="template">The click, from <paramref name="before"/> samples ahead of the window to its end.</param>
    /// <param name="before">Samples of the template ahead of the window.</param>
    /// <param name="amplitude">Reference over spot.</param>
    /// <param name="delay">Residual delay that the template has.</param>
    /// <param name="tailLater">By how many samples later than usual reflections may begin: where the template is not the last of what is one sound.</param>
    /// <param name="tailVariance">Variance of a reflection at any one sample.</param>
    /// <param name="misfit">Autocovariance of what no model explains, for a click of mean square 1: see <see cref="Misfit"/>.</param>
    /// <param name="sampleRateHz">Working rate.</param>
    public static double[] Fill(
        ArrivalData data, double[] template, int before, double amplitude, double delay, int tailLater, double tailVariance, double[] misfit, double sampleRateHz)
    {
        var n = data.Window.Length;
        var matrix = new double[n * n];
        AddBackground(matrix, data, Math.Abs(amplitude), (int)Math.Round(delay));
        if (tailVariance > 0)
            AddTail(matrix, template, before, n, tailLater, tailVariance, sampleRateHz);
        var peak = AddMisfit(matrix, template.AsSpan(before, n), amplitude, misfit, (int)(MisfitReachSeconds * sampleRateHz));
        AddClipped(matrix, data, 2 * Math.Abs(amplitude) * peak, delay);
        return matrix;
    }

    private static void AddBackground(double[] matrix, ArrivalData data, double amplitude, int delay)
    {
        var n = data.Window.Length;
        var open = new double[n];
        for (var t = 0; t < n; t++)
            open[t] = amplitude * Math.Sqrt(data.Click.Gate[data.Offset + t - delay]);
        for (var i = 0; i < n; i++)
            for (var j = 0; j <= i; j++)
                matrix[i * n + j] = data.Background[i - j] + open[i] * open[j] * data.Click.Residual[i - j];
    }

    private static void AddTail(double[] matrix, double[] template, int before, int n, int later, double variance, double sampleRateHz)
    {
        var first = Math.Max(1, (int)(TailFromSeconds * sampleRateHz) + later);
        var full = first + (TailFullSeconds - TailFromSeconds) * sampleRateHz;
        var taps = n - first;
        // Row i holds the template at i−m over m: the covariance of two samples is the dot product of their rows.
        var rows = new double[n * taps];
        for (var m = 0; m < taps; m++)
        {
            var weight = Math.Sqrt(variance * Math.Min(1, (m + 1) / (full - first)));
            for (var i = first + m; i < n; i++)
                rows[i * taps + m] = weight * template[before + i - first - m];
        }
        for (var i = first; i < n; i++)
            for (var j = first; j <= i; j++)
            {
                var count = j - first + 1;
                matrix[i * n + j] += CholeskyFactor.Dot(rows.AsSpan(i * taps, count), rows.AsSpan(j * taps, count));
            }
    }

    private static double AddMisfit(double[] matrix, ReadOnlySpan<double> template, double amplitude, double[] misfit, int reach)
    {
        var n = template.Length;
        var peak = 0.0;
        foreach (var sample in template)
            peak = Math.Max(peak, Math.Abs(sample));
        var level = new double[n];
        for (var i = 0; i < n; i++)
        {
            var sum = 0.0;
            for (var j = Math.Max(0, i - reach); j <= Math.Min(n - 1, i + reach); j++)
                sum += template[j] * template[j];
            level[i] = Math.Abs(amplitude) * Math.Sqrt(sum / (2 * reach + 1));
        }
        for (var i = 0; i < n; i++)
        {
            for (var j = 0; j <= i; j++)
                matrix[i * n + j] += level[i] * level[j] * misfit[i - j];
            // −120 dB of the peak keeps the matrix regular where a simulated recording has no noise at all.
            matrix[i * n + i] += amplitude * amplitude * 1e-12 * peak * peak;
        }
        return peak;
    }

    /// <summary>A clipped sample may have been several times as large (10 dB: by twice its size): whatever it adds is unknown.</summary>
    private static void AddClipped(double[] matrix, ArrivalData data, double size, double delay)
    {
        const int reach = 24;
        var n = data.Window.Length;
        foreach (var clipped in data.Click.Clipped)
        {
            var at = clipped - data.Offset + delay;
            var (from, to) = (Math.Max(0, (int)at - reach), Math.Min(n - 1, (int)at + reach));
            for (var i = from; i <= to; i++)
                for (var j = from; j <= i; j++)
                    matrix[i * n + j] += size * size * Sinc(i - at) * Sinc(j - at);
        }
    }

    private static double Sinc(double x) => Math.Abs(x) < 1e-9 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);
}
