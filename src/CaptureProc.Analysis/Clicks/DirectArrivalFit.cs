using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A stretch of the reference around an arrival, and the spot's own recording of the same click.</summary>
/// <param name="Window">The reference, from a little before the arrival on.</param>
/// <param name="Click">The click in the spot.</param>
/// <param name="Offset">Sample of the click's excerpt that falls on Window[0] at residual delay 0.</param>
/// <param name="Background">Autocovariance of the reference before the click, as long as Window.</param>
public sealed record ArrivalData(double[] Window, SpotClick Click, int Offset, double[] Background);

/// <summary>What a spot's proximity rise may be: the corner β in rad/s of the factor 1 + β/jω in its response.</summary>
/// <param name="Mean">c(1−α)cosγ/(r(α+(1−α)cosγ)): 343 for a cardioid at half a metre, 0 for a capsule array's W.</param>
/// <param name="Sigma">How far patterns from 0.35 to 0.8 at 0.3 to 0.9 m spread about it.</param>
public readonly record struct ProximityPrior(double Mean, double Sigma)
{
    public static readonly ProximityPrior DirectionalSpot = new(343, 300);

    public static readonly ProximityPrior CapsuleArray = new(0, 30);
}

/// <summary>What the fit found; the delay in samples beyond the whole-sample lag of the data.</summary>
public sealed record ArrivalFit(double Amplitude, double Delay, double Proximity)
{
    public double DelaySigma { get; init; }

    public double AmplitudeSigma { get; init; }

    /// <summary>ρ: variance of a reflection at any one sample over the squared scale of arrivals.</summary>
    public double TailShare { get; init; }

    /// <summary>Logarithm of the marginal likelihood, up to a constant of the data.</summary>
    public double LogEvidence { get; init; }

    /// <summary>Mean square of the whitened residual: 1 where the model explains the recording.</summary>
    public double ReducedChiSquare { get; init; }
}

/// <summary>Fits the first arrival of a click in the reference by what the spot heard of it.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// Model: reference(t) = a·s(t−τ) + Σ h_m·s(t−τ−m) + noise, where s is the spot's recording with its proximity rise taken out.
/// The first term is the direct sound. The sum is all that comes later, reflections of any strength and sign, and also what
/// the spot itself heard of reflections: the ratio of the two responses starts with the direct sound and goes on as it likes.
/// Its taps are taken as Gaussian of variance ρ, which turns them into one more term of the covariance
/// (<see cref="ArrivalCovariance"/>), and the fit of (a, τ, proximity) is generalised least squares: samples that a reflection may
/// have touched lose their vote exactly as far as they should, and the covariance of the result is its honest uncertainty. ρ is
/// chosen by the evidence; without reflections it goes to 0, and what is left is the maximum-likelihood delay, which reaches
/// the Cramér-Rao bound.
/// Windows that cut out the direct sound were refused: a clap rings longer than the floor takes to answer. A parabola through
/// the peak of a correlation was refused for its pull towards whole samples.
/// Source: generalised least squares and evidence as in any text on Gaussian processes; the model is ours.
/// </remarks>
public sealed class DirectArrivalFit
{
    private const int MaxIterations = 12;

    /// <summary>A fit that leaves the lag it was given by more than this has lost the arrival (samples).</summary>
    private const double LongestWay = 10;

    // In order: none, a diffuse beginning, up to a floor that answers as loud as the direct sound within a few milliseconds.
    private static readonly double[] TailShares = [0, 1e-4, 1e-3, 1e-2, 1e-1];

    private readonly double sampleRateHz;
    private readonly Complex[] work, shifted;
    private readonly double[] samples = new double[SpotClick.Size];

    public DirectArrivalFit(double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        work = new Complex[Transform.BinCount];
        shifted = new Complex[Transform.BinCount];
    }

    public Transform Transform { get; } = new(SpotClick.Size);

    /// <summary>The fit with the best ρ; null where none converges.</summary>
    /// <param name="data">What to fit.</param>
    /// <param name="start">Where to start; its tail share is the first that is tried.</param>
    /// <param name="scale">Size of the strongest arrival, which sets the scale of reflections.</param>
    /// <param name="prior">What is known of the spot's proximity rise.</param>
    public ArrivalFit? FitBest(ArrivalData data, ArrivalFit start, double scale, ProximityPrior prior)
    {
        // The evidence has one maximum over ρ, so climbing from a good start needs three fits of the five.
        var at = Math.Max(0, Array.IndexOf(TailShares, start.TailShare));
        var best = Fit(data, start, TailShares[at], scale, prior);
        foreach (var step in (ReadOnlySpan<int>)[1, -1])
        {
            var moved = false;
            for (var next = at + step; next >= 0 && next < TailShares.Length; next += step)
            {
                var fit = Fit(data, best ?? start, TailShares[next], scale, prior);
                if (fit is null || fit.LogEvidence <= (best?.LogEvidence ?? double.NegativeInfinity))
                    break;
                (best, moved) = (fit, true);
            }
            if (moved)
                break;
        }
        return best;
    }

    public ArrivalFit? Fit(ArrivalData data, ArrivalFit start, double tailShare, double scale, ProximityPrior prior)
    {
        var n = data.Window.Length;
        var (a, tau, beta) = (start.Amplitude, start.Delay, start.Proximity);
        var (template, slope, bend, residual) = (new double[n], new double[n], new double[n], new double[n]);
        double[][] columns = [template, slope, bend];
        var (information, gradient) = (new double[9], new double[3]);
        CholeskyFactor? factor = null;
        var (factoredAt, chiSquare) = (0.0, 0.0);
        var precision = 1 / (prior.Sigma * prior.Sigma);
        for (var iteration = 0; iteration < MaxIterations; iteration++)
        {
            if (factor is null || Math.Abs(tau - factoredAt) > 0.5)
            {
                factor = Whitener(data, new ArrivalFit(a, tau, beta) { TailShare = tailShare }, scale);
                factoredAt = tau;
            }
            if (factor is null)
                return null;
            FillTemplates(data, a, tau, beta, columns);
            for (var t = 0; t < n; t++)
                residual[t] = data.Window[t] - a * template[t];
            factor.Whiten(residual);
            foreach (var column in columns)
                factor.Whiten(column);
            chiSquare = CholeskyFactor.Dot(residual, residual);
            for (var i = 0; i < 3; i++)
            {
                gradient[i] = CholeskyFactor.Dot(columns[i], residual);
                for (var j = 0; j < 3; j++)
                    information[i * 3 + j] = CholeskyFactor.Dot(columns[i], columns[j]);
            }
            information[8] += precision;
            gradient[2] += precision * (prior.Mean - beta);
            if (SmallSolver.Solve(information, gradient) is not { } step)
                return null;
            var limit = Math.Min(1, 1 / Math.Max(1e-12, Math.Abs(step[1])));
            (a, tau, beta) = (a + limit * step[0], tau + limit * step[1], beta + limit * step[2]);
            if (!(Math.Abs(tau) <= LongestWay))
                return null;
            if (Math.Abs(step[1]) < 2e-5)
                break;
        }
        if (SmallSolver.Inverse(information) is not { } covariance)
            return null;
        var away = beta - prior.Mean;
        return new ArrivalFit(a, tau, beta)
        {
            DelaySigma = Math.Sqrt(covariance[4]),
            AmplitudeSigma = Math.Sqrt(covariance[0]),
            TailShare = tailShare,
            LogEvidence = -0.5 * (chiSquare + factor!.LogDeterminant + precision * away * away),
            ReducedChiSquare = chiSquare / n,
        };
    }

    /// <summary>What makes the data of this window independent, given a fit; null where the covariance is not positive definite.</summary>
    public CholeskyFactor? Whitener(ArrivalData data, ArrivalFit fit, double scale)
    {
        var n = data.Window.Length;
        Shift(data, fit.Delay, fit.Proximity);
        Transform.Inverse(shifted, samples);
        var template = samples.AsSpan(data.Offset, n).ToArray();
        var matrix = ArrivalCovariance.Fill(data, template, 0, fit.Amplitude, fit.Delay, scale * scale * fit.TailShare, sampleRateHz);
        return CholeskyFactor.Factor(matrix, n);
    }

    /// <summary>The click as it should arrive through a response, or (as a slope) its change with the delay.</summary>
    public double[] Predict(ArrivalData data, ArrivalFit fit, ReadOnlySpan<Complex> response, bool asSlope)
    {
        Shift(data, fit.Delay, fit.Proximity);
        for (var k = 0; k < work.Length; k++)
        {
            work[k] = shifted[k] * response[k];
            if (asSlope)
                work[k] *= new Complex(0, -Transform.Omega(k));
        }
        Transform.Inverse(work, samples);
        return samples.AsSpan(data.Offset, data.Window.Length).ToArray();
    }

    /// <summary>The template, and the change of a·template with delay and with proximity.</summary>
    private void FillTemplates(ArrivalData data, double a, double tau, double beta, double[][] columns)
    {
        Shift(data, tau, beta);
        Transform.Inverse(shifted, samples);
        samples.AsSpan(data.Offset, columns[0].Length).CopyTo(columns[0]);
        for (var k = 0; k < work.Length; k++)
            work[k] = new Complex(0, -a * Transform.Omega(k)) * shifted[k];
        Transform.Inverse(work, samples);
        samples.AsSpan(data.Offset, columns[1].Length).CopyTo(columns[1]);
        // d/dβ of jω/(jω+β) is −1/(jω+β) times itself; bin 0 is empty.
        for (var k = 1; k < work.Length; k++)
            work[k] = -a / new Complex(beta, Transform.Omega(k) * sampleRateHz) * shifted[k];
        work[0] = 0;
        Transform.Inverse(work, samples);
        samples.AsSpan(data.Offset, columns[2].Length).CopyTo(columns[2]);
    }

    /// <summary>The click's spectrum without its proximity rise, jω/(jω+β), and later by τ.</summary>
    private void Shift(ArrivalData data, double tau, double beta)
    {
        var click = data.Click.Spectrum;
        shifted[0] = 0;
        var step = Complex.FromPolarCoordinates(1, -Transform.Omega(1) * tau);
        var turn = step;
        for (var k = 1; k < shifted.Length; k++)
        {
            var omega = Transform.Omega(k) * sampleRateHz;
            shifted[k] = click[k] * turn * new Complex(0, omega) / new Complex(beta, omega);
            turn *= step;
        }
    }
}
