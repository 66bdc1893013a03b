using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A stretch of the reference around an arrival, and the spot's own recording of the same click.</summary>
/// <param name="Window">The reference, from a little before the arrival on.</param>
/// <param name="Spot">The click in the spot.</param>
/// <param name="Offset">Sample of the spot's excerpt that falls on Window[0] at residual delay 0.</param>
/// <param name="Noise">Autocovariance of the reference before the click, at least as long as Window.</param>
public sealed record ArrivalData(double[] Window, SpotClick Spot, int Offset, double[] Noise);

/// <summary>What the fit found; delays in samples relative to the whole-sample lag of the data.</summary>
public sealed record ArrivalFit(double Amplitude, double ResidualDelay, double ProximityRadPerSecond, double DelaySigma,
    double AmplitudeSigma, double LogEvidence, double ReducedChiSquare, double TailShare);

/// <summary>Fits the first arrival of a click in the reference by what the spot heard of it.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// Model: reference(t) = a·s(t−τ) + Σ h_m·s(t−τ−m) + noise, where s is the spot's recording with its proximity rise taken out.
/// The first term is the direct sound. The sum is all that comes later, reflections of any strength and sign, and also what
/// the spot itself heard of reflections: the ratio of the two responses starts with the direct sound and goes on as it likes.
/// Its taps h_m are taken as Gaussian with variance ρ·a² from <see cref="TailFromSeconds"/> on, which turns them into one more
/// term of the covariance: C = noise + a²·(noise of the spot) + ρ·a²·Σ s_m·s_mᵀ + misfit. Under C the fit of (a, τ, proximity) is
/// generalised least squares: samples that a reflection may have touched lose their vote exactly as far as they should, and
/// the covariance of the result is its honest uncertainty. ρ is chosen by the evidence (marginal likelihood); without
/// reflections it goes to 0 and the fit is the maximum-likelihood delay, which reaches the Cramér-Rao bound.
/// Windows that cut out the direct sound were refused: a clap rings longer than the floor takes to answer. A parabola through
/// the peak of a correlation was refused for its pull towards whole samples.
/// Source: generalised least squares and evidence as in any text on Gaussian processes; the model is ours.
/// </remarks>
public sealed class DirectArrivalFit
{
    /// <summary>Nothing is expected to follow the direct sound sooner: a detour of 12 cm.</summary>
    public const double TailFromSeconds = 0.00035;

    /// <summary>From here on, reflections are as likely as ever.</summary>
    public const double TailFullSeconds = 0.0010;

    private readonly Transform transform;
    private readonly double sampleRateHz;
    private readonly Complex[] work;
    private readonly double[] samples;

    public DirectArrivalFit(double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        transform = new Transform(SpotClick.Size);
        work = new Complex[transform.BinCount];
        samples = new double[transform.Size];
    }

    public Transform Transform => transform;

    /// <summary>Prior of the proximity corner c(1−α)cosγ/(r(α+(1−α)cosγ)): a cardioid at half a metre, give or take the other patterns.</summary>
    public double ProximityMean { get; init; } = 343;

    public double ProximitySigma { get; init; } = 300;

    /// <summary>Every sample of the click may be off by this share of the local level: capsules are not exactly their model.</summary>
    public double MisfitShare { get; init; } = 0.01;

    public ArrivalFit? Fit(ArrivalData data, double amplitude, double residualDelay, double tailScale, double tailShare)
    {
        var n = data.Window.Length;
        var beta = ProximityMean;
        var tau = residualDelay;
        var (template, slope, bend) = (new double[n], new double[n], new double[n]);
        CholeskyFactor? factor = null;
        var covarianceAt = double.NaN;
        double[]? information = null;
        var a = amplitude;
        double chiSquare = 0;
        for (var iteration = 0; iteration < 12; iteration++)
        {
            if (factor is null || Math.Abs(tau - covarianceAt) > 0.5)
            {
                var extended = Template(data, tau, beta, n);
                factor = CholeskyFactor.Factor(Covariance(data, extended, a, tau, tailScale, tailShare), n);
                if (factor is null)
                    return null;
                covarianceAt = tau;
            }
            Templates(data, tau, beta, a, template, slope, bend);
            var residual = new double[n];
            for (var t = 0; t < n; t++)
                residual[t] = data.Window[t] - a * template[t];
            factor.Whiten(residual);
            factor.Whiten(template);
            factor.Whiten(slope);
            factor.Whiten(bend);
            chiSquare = CholeskyFactor.Dot(residual, residual);
            double[][] columns = [template, slope, bend];
            information = new double[9];
            var gradient = new double[3];
            for (var i = 0; i < 3; i++)
            {
                gradient[i] = CholeskyFactor.Dot(columns[i], residual);
                for (var j = 0; j < 3; j++)
                    information[i * 3 + j] = CholeskyFactor.Dot(columns[i], columns[j]);
            }
            var precision = 1 / (ProximitySigma * ProximitySigma);
            information[8] += precision;
            gradient[2] += precision * (ProximityMean - beta);
            var step = SmallSolver.Solve(information, gradient);
            if (step is null)
                return null;
            var limit = Math.Min(1, 1 / Math.Max(1e-12, Math.Abs(step[1])));
            a += limit * step[0];
            tau += limit * step[1];
            beta += limit * step[2];
            if (Math.Abs(step[1]) < 1e-5)
                break;
        }
        if (!double.IsFinite(tau) || Math.Abs(tau - residualDelay) > 8)
            return null;
        var covariance = SmallSolver.Inverse(information!)!;
        var prior = (beta - ProximityMean) / ProximitySigma;
        var evidence = -0.5 * (chiSquare + factor!.LogDeterminant + prior * prior);
        return new ArrivalFit(a, tau, beta, Math.Sqrt(covariance[4]), Math.Sqrt(covariance[0]), evidence, chiSquare / n, tailShare);
    }

    /// <summary>The template from <paramref name="before"/> samples before the window to its end.</summary>
    private double[] Template(ArrivalData data, double tau, double beta, int before)
    {
        for (var k = 0; k < work.Length; k++)
            work[k] = data.Spot.Spectrum[k] * Restored(k, beta) * Complex.FromPolarCoordinates(1, -transform.Omega(k) * tau);
        transform.Inverse(work, samples);
        var start = data.Offset - before;
        var result = new double[before + data.Window.Length];
        for (var t = 0; t < result.Length; t++)
            if (start + t >= 0 && start + t < samples.Length)
                result[t] = samples[start + t];
        return result;
    }

    private void Templates(ArrivalData data, double tau, double beta, double a, double[] template, double[] slope, double[] bend)
    {
        var start = data.Offset;
        var shifted = new Complex[work.Length];
        for (var k = 0; k < work.Length; k++)
            work[k] = shifted[k] = data.Spot.Spectrum[k] * Restored(k, beta) * Complex.FromPolarCoordinates(1, -transform.Omega(k) * tau);
        transform.Inverse(work, samples);
        samples.AsSpan(start, template.Length).CopyTo(template);
        for (var k = 0; k < work.Length; k++)
            work[k] = -a * new Complex(0, transform.Omega(k)) * shifted[k];
        transform.Inverse(work, samples);
        samples.AsSpan(start, template.Length).CopyTo(slope);
        for (var k = 1; k < work.Length; k++)
            work[k] = -a / new Complex(beta, transform.Omega(k) * sampleRateHz) * shifted[k];
        work[0] = 0;
        transform.Inverse(work, samples);
        samples.AsSpan(start, template.Length).CopyTo(bend);
    }

    /// <summary>The spot's click as it should arrive behind a response, or (derivative 1) its slope over the delay.</summary>
    public double[] Template(ArrivalData data, double tau, double beta, ReadOnlySpan<Complex> response, int derivative)
    {
        for (var k = 0; k < work.Length; k++)
        {
            work[k] = data.Spot.Spectrum[k] * response[k] * Restored(k, beta) * Complex.FromPolarCoordinates(1, -transform.Omega(k) * tau);
            if (derivative == 1)
                work[k] *= new Complex(0, -transform.Omega(k));
        }
        transform.Inverse(work, samples);
        return samples.AsSpan(data.Offset, data.Window.Length).ToArray();
    }

    public CholeskyFactor? Whitener(ArrivalData data, ArrivalFit at, double tailScale) =>
        CholeskyFactor.Factor(Covariance(data, Template(data, at.ResidualDelay, at.ProximityRadPerSecond, data.Window.Length),
            at.Amplitude, at.ResidualDelay, tailScale, at.TailShare), data.Window.Length);

    /// <summary>jω/(jω+β): what undoes 1 + β/jω.</summary>
    private Complex Restored(int bin, double beta)
    {
        if (bin == 0)
            return 0;
        var jw = new Complex(0, transform.Omega(bin) * sampleRateHz);
        return jw / (jw + beta);
    }

    private double[] Covariance(ArrivalData data, double[] extended, double a, double tau, double tailScale, double tailShare)
    {
        var n = data.Window.Length;
        var before = extended.Length - n;
        var matrix = new double[n * n];
        var peak = 0.0;
        for (var t = 0; t < n; t++)
            peak = Math.Max(peak, Math.Abs(extended[before + t]));
        var open = new double[n];
        for (var t = 0; t < n; t++)
            open[t] = Math.Abs(a) * Math.Sqrt(data.Spot.Gate[data.Offset + t - (int)Math.Round(tau)]);
        for (var i = 0; i < n; i++)
            for (var j = 0; j <= i; j++)
                matrix[i * n + j] = data.Noise[i - j] + open[i] * open[j] * data.Spot.Residual[i - j];

        if (tailShare > 0)
            AddTail(matrix, extended, n, tailScale * tailScale * tailShare);

        // Misfit follows the local level of the click, taken over a third of a millisecond.
        var reach = (int)(0.00015 * sampleRateHz);
        for (var i = 0; i < n; i++)
        {
            var sum = 0.0;
            for (var j = Math.Max(0, i - reach); j <= Math.Min(n - 1, i + reach); j++)
                sum += extended[before + j] * extended[before + j];
            matrix[i * n + i] += a * a * MisfitShare * MisfitShare * sum / (2 * reach + 1) + 1e-12 * a * a * peak * peak;
        }

        foreach (var clipped in data.Spot.Clipped)
        {
            // The true value of a clipped sample may exceed the recorded one by about as much again.
            var at = clipped - data.Offset + tau;
            var size = Math.Abs(a) * peak;
            var from = Math.Max(0, (int)at - 24);
            var to = Math.Min(n - 1, (int)at + 24);
            for (var i = from; i <= to; i++)
                for (var j = from; j <= i; j++)
                    matrix[i * n + j] += size * size * Sinc(i - at) * Sinc(j - at);
        }
        return matrix;
    }

    private void AddTail(double[] matrix, double[] extended, int n, double variance)
    {
        var before = extended.Length - n;
        var first = (int)(TailFromSeconds * sampleRateHz);
        var full = TailFullSeconds * sampleRateHz;
        var taps = n - first;
        // Row i holds the template at i−m, over m: the covariance of two samples is the dot product of their rows.
        var rows = new double[n * taps];
        for (var m = 0; m < taps; m++)
        {
            var x = Math.Min(1, (m + 1) / (full - first));
            var weight = Math.Sqrt(variance * x);
            for (var i = 0; i < n; i++)
                rows[i * taps + m] = weight * extended[before + i - first - m];
        }
        for (var i = 0; i < n; i++)
            for (var j = 0; j <= i; j++)
            {
                // Before the click begins the template is silent: later taps add nothing to an early sample.
                var count = Math.Min(taps, j + 1);
                matrix[i * n + j] += CholeskyFactor.Dot(rows.AsSpan(i * taps, count), rows.AsSpan(j * taps, count));
            }
    }

    private static double Sinc(double x) => Math.Abs(x) < 1e-9 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);
}
