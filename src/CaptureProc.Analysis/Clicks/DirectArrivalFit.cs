using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A stretch of the reference around an arrival, and the spot's own recording of the same click.</summary>
/// <param name="Window">The reference, from a little before the arrival on.</param>
/// <param name="Click">The click in the spot.</param>
/// <param name="Offset">Sample of the click's excerpt that falls on Window[0] at residual delay 0.</param>
/// <param name="Background">Autocovariance of the reference before the click, as long as Window.</param>
public sealed record ArrivalData(double[] Window, SpotClick Click, int Offset, double[] Background)
{
    /// <summary>What is left unexplained, however quiet the hall.</summary>
    public Misfit Misfit { get; init; } = Misfit.OfResponse;
}

/// <summary>What the fit found; the delay in samples beyond the whole-sample lag of the data.</summary>
/// <param name="Amplitude">Reference over spot, with sign, apart from the response.</param>
/// <param name="Delay">Apart from the response.</param>
/// <param name="Response">Coefficients of the <see cref="SmoothResponse"/> between the two.</param>
public sealed record ArrivalFit(double Amplitude, double Delay, double[] Response)
{
    public double DelaySigma { get; init; }

    /// <summary>Of the size, were delay and response known: what tells an arrival from none.</summary>
    public double AmplitudeSigma { get; init; }

    /// <summary>The delay that is meant: with what the response adds to it, weighed by the clap's power from 300 Hz to 8 kHz.</summary>
    public double MeantDelay { get; init; }

    /// <summary>Standard deviation of <see cref="MeantDelay"/>, the unknown response included, misfit not.</summary>
    public double MeantDelaySigma { get; init; }

    /// <summary>Size with what the response adds to it, weighed alike; with sign.</summary>
    public double MeantAmplitude { get; init; }

    /// <summary>ρ: variance of a reflection at any one sample over the squared scale of arrivals.</summary>
    public double TailShare { get; init; }

    /// <summary>By how many samples later than usual after this delay reflections may begin.</summary>
    public int TailLater { get; init; }

    /// <summary>By how much the meant delay changes where less of the treble is heard.</summary>
    public double BandDisagreement { get; init; }

    /// <summary>Probability that another lag, or the other polarity, lines up the direct sounds better.</summary>
    public double Rivals { get; init; }

    /// <summary>Logarithm of the marginal likelihood, up to a constant of the data.</summary>
    public double LogEvidence { get; init; }

    /// <summary>Mean square of the whitened residual: 1 where the model explains the recording.</summary>
    public double ReducedChiSquare { get; init; }
}

/// <summary>Fits the first arrival of a click in the reference by what the spot heard of it.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// Model: reference(t) = a·(g∗s)(t−τ) + Σ h_m·s(t−τ−m) + noise, where s is the spot's recording and g the smooth response between two
/// microphones (<see cref="SmoothResponse"/>), whose coefficients are fitted along under their prior: what they are not known by
/// goes into the uncertainty of the delay. The first term is the direct sound. The sum is all that comes later, reflections of any strength and sign, and also what
/// the spot itself heard of reflections: the ratio of the two responses starts with the direct sound and goes on as it likes.
/// Its taps are taken as Gaussian of variance ρ, which turns them into one more term of the covariance
/// (<see cref="ArrivalCovariance"/>), and the fit of (a, τ, response) is generalised least squares: samples that a reflection may
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
    private const double LongestWay = 40;

    // In order: none, a diffuse beginning, up to a floor that answers as loud as the direct sound within a few milliseconds.
    internal static readonly double[] TailShares = [0, 1e-4, 1e-3, 1e-2, 1e-1];

    private readonly double sampleRateHz;
    private readonly Complex[] work, shifted, turned, response;
    private readonly double[] samples = new double[SpotClick.Size];

    public DirectArrivalFit(double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        work = new Complex[Transform.BinCount];
        shifted = new Complex[Transform.BinCount];
        turned = new Complex[Transform.BinCount];
        response = new Complex[Transform.BinCount];
        Response = new SmoothResponse(sampleRateHz, Transform);
    }

    public SmoothResponse Response { get; }

    public Transform Transform { get; } = new(SpotClick.Size);

    /// <summary>The fit with the best ρ; null where none converges.</summary>
    /// <param name="data">What to fit.</param>
    /// <param name="start">Where to start; its tail share is the first that is tried.</param>
    /// <param name="scale">Size of the strongest arrival, which sets the scale of reflections.</param>
    /// <param name="prior">What is known of the response between the two.</param>
    public ArrivalFit? FitBest(ArrivalData data, ArrivalFit start, double scale, ResponsePrior prior)
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

    public ArrivalFit? Fit(ArrivalData data, ArrivalFit start, double tailShare, double scale, ResponsePrior prior)
    {
        const int unknowns = 2 + SmoothResponse.Count;
        var n = data.Window.Length;
        var here = start with { Response = [.. start.Response], TailShare = tailShare };
        var (template, residual) = (new double[n], new double[n]);
        var columns = new double[unknowns][];
        for (var i = 0; i < unknowns; i++)
            columns[i] = new double[n];
        var (information, gradient) = (new double[unknowns * unknowns], new double[unknowns]);
        CholeskyFactor? factor = null;
        var (factoredAt, chiSquare) = (0.0, 0.0);
        for (var iteration = 0; iteration < MaxIterations; iteration++)
        {
            if (factor is null || Math.Abs(here.Delay - factoredAt) > 0.5)
            {
                factor = Whitener(data, here, scale);
                factoredAt = here.Delay;
            }
            if (factor is null)
                return null;
            FillColumns(data, here, template, columns);
            for (var t = 0; t < n; t++)
                residual[t] = data.Window[t] - here.Amplitude * template[t];
            factor.Whiten(residual);
            foreach (var column in columns)
                factor.Whiten(column);
            chiSquare = CholeskyFactor.Dot(residual, residual);
            for (var i = 0; i < unknowns; i++)
            {
                gradient[i] = CholeskyFactor.Dot(columns[i], residual);
                for (var j = 0; j <= i; j++)
                    information[i * unknowns + j] = information[j * unknowns + i] = CholeskyFactor.Dot(columns[i], columns[j]);
            }
            for (var k = 0; k < SmoothResponse.Count; k++)
            {
                var precision = 1 / (prior.Sigma[k] * prior.Sigma[k]);
                information[(2 + k) * (unknowns + 1)] += precision;
                gradient[2 + k] += precision * (prior.Mean[k] - here.Response[k]);
            }
            if (SmallSolver.Solve(information, gradient) is not { } step)
                return null;
            var limit = Math.Min(1, 1 / Math.Max(1e-12, Math.Abs(step[1])));
            for (var k = 0; k < SmoothResponse.Count; k++)
                limit = Math.Min(limit, 2 * prior.Sigma[k] / Math.Max(1e-12, Math.Abs(step[2 + k])));
            here = here with { Amplitude = here.Amplitude + limit * step[0], Delay = here.Delay + limit * step[1] };
            for (var k = 0; k < SmoothResponse.Count; k++)
                here.Response[k] += limit * step[2 + k];
            if (!(Math.Abs(here.Delay) <= LongestWay))
                return null;
            if (Math.Abs(step[1]) < 2e-5)
                break;
        }
        if (SmallSolver.Inverse(information) is not { } covariance)
            return null;
        var away = 0.0;
        for (var k = 0; k < SmoothResponse.Count; k++)
            away += Square((here.Response[k] - prior.Mean[k]) / prior.Sigma[k]);
        return Weigh(data.Click, here, covariance) with
        {
            DelaySigma = Math.Sqrt(covariance[unknowns + 1]),
            AmplitudeSigma = 1 / Math.Sqrt(information[0]),
            LogEvidence = -0.5 * (chiSquare + factor!.LogDeterminant + away + LogOccam(information, here.Amplitude, prior)),
            ReducedChiSquare = chiSquare / n,
        };
    }

    /// <summary>What freedom costs: the logarithm of how much narrower everything is known after than before (twice Occam's factor).</summary>
    /// <remarks>Before, the size is known to within itself, and the delay to within <see cref="DelayBefore"/>.</remarks>
    private static double LogOccam(double[] information, double amplitude, ResponsePrior prior)
    {
        const int unknowns = 2 + SmoothResponse.Count;
        double[] sigma = [Math.Abs(amplitude), DelayBefore, .. prior.Sigma];
        var scaled = new double[unknowns * unknowns];
        for (var i = 0; i < unknowns; i++)
            for (var j = 0; j < unknowns; j++)
                scaled[i * unknowns + j] = information[i * unknowns + j] * sigma[i] * sigma[j] + (i == j && i < 2 ? 1 : 0);
        return CholeskyFactor.Factor(scaled, unknowns)?.LogDeterminant ?? double.PositiveInfinity;
    }

    /// <summary>Deviation of the delay before the fit (samples).</summary>
    private const double DelayBefore = 10;

    /// <summary>The delay and the size that are meant, with the uncertainty of the former.</summary>
    private ArrivalFit Weigh(SpotClick click, ArrivalFit fit, double[] covariance)
    {
        const int unknowns = 2 + SmoothResponse.Count;
        Span<double> slope = stackalloc double[unknowns];
        var (added, gain) = Response.Weigh(fit.Response, click.Spectrum, slope[2..]);
        (slope[0], slope[1]) = (0, 1);
        var variance = 0.0;
        for (var i = 0; i < unknowns; i++)
            for (var j = 0; j < unknowns; j++)
                variance += slope[i] * covariance[i * unknowns + j] * slope[j];
        return fit with { MeantDelay = fit.Delay + added, MeantDelaySigma = Math.Sqrt(Math.Max(0, variance)), MeantAmplitude = fit.Amplitude * gain };
    }

    /// <summary>What makes the data of this window independent, given a fit; null where the covariance is not positive definite.</summary>
    /// <param name="data">What is fitted.</param>
    /// <param name="fit">Where the fit stands.</param>
    /// <param name="scale">Size of the strongest arrival.</param>
    /// <param name="coherent">Ways, of one deviation each, in which the whole window may be off at once.</param>
    public CholeskyFactor? Whitener(ArrivalData data, ArrivalFit fit, double scale, params IEnumerable<double[]> coherent)
    {
        var n = data.Window.Length;
        Shift(data, fit);
        Transform.Inverse(shifted, samples);
        var template = samples.AsSpan(data.Offset, n).ToArray();
        var matrix = ArrivalCovariance.Fill(data, template, 0, fit.Amplitude, fit.Delay, fit.TailLater, scale * scale * fit.TailShare,
            data.Misfit.Autocovariance(data.Click, Transform, sampleRateHz, n), sampleRateHz);
        foreach (var way in coherent)
            for (var i = 0; i < n; i++)
                for (var j = 0; j <= i; j++)
                    matrix[i * n + j] += way[i] * way[j];
        return CholeskyFactor.Factor(matrix, n);
    }

    /// <summary>The click as it should arrive through a response, or (as a slope) its change with the delay.</summary>
    public double[] Predict(ArrivalData data, ArrivalFit fit, ReadOnlySpan<Complex> through, bool asSlope)
    {
        Shift(data, fit);
        for (var k = 0; k < work.Length; k++)
        {
            work[k] = shifted[k] * through[k];
            if (asSlope)
                work[k] *= new Complex(0, -Transform.Omega(k));
        }
        Transform.Inverse(work, samples);
        return samples.AsSpan(data.Offset, data.Window.Length).ToArray();
    }

    /// <summary>The template, and the change of a·template with size, delay and the response.</summary>
    private void FillColumns(ArrivalData data, ArrivalFit fit, double[] template, double[][] columns)
    {
        Shift(data, fit);
        Transform.Inverse(shifted, samples);
        samples.AsSpan(data.Offset, template.Length).CopyTo(template);
        template.CopyTo(columns[0], 0);
        for (var k = 0; k < work.Length; k++)
            work[k] = new Complex(0, -fit.Amplitude * Transform.Omega(k)) * shifted[k];
        Transform.Inverse(work, samples);
        samples.AsSpan(data.Offset, template.Length).CopyTo(columns[1]);
        for (var c = 0; c < SmoothResponse.Count; c++)
        {
            for (var k = 0; k < work.Length; k++)
                work[k] = fit.Amplitude * Response.Slope(c, k, response[k]) * turned[k];
            Transform.Inverse(work, samples);
            samples.AsSpan(data.Offset, template.Length).CopyTo(columns[2 + c]);
        }
    }

    /// <summary>The click's spectrum through the response, and later by τ.</summary>
    private void Shift(ArrivalData data, ArrivalFit fit)
    {
        var click = data.Click.Spectrum;
        Response.Fill(fit.Response, response);
        shifted[0] = turned[0] = 0;
        var step = Complex.FromPolarCoordinates(1, -Transform.Omega(1) * fit.Delay);
        var turn = step;
        for (var k = 1; k < shifted.Length; k++)
        {
            turned[k] = click[k] * turn;
            shifted[k] = turned[k] * response[k];
            turn *= step;
        }
    }

    private static double Square(double x) => x * x;
}
