using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;
using MathNet.Numerics;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Fits the first arrival of a click whose source is no point, so that the two microphones hear its parts in unlike order.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// Hands and boards are 5 to 20 cm wide. Between two microphones then lies no smooth response but a bundle of copies a few samples
/// apart, of either sign. Model: reference(t) = Σ e_m·s(t−τ₀−m·Δ) + two terms for what happens below the band + what follows
/// (<see cref="ArrivalCovariance"/>), where every e_m is normal with a deviation that falls from the middle like a bell. It is linear: no step can go
/// astray, and nothing is said beforehand of sign or exact lag. The delay is read off the fitted direct sound, as the lag
/// at which it goes together best with the click; how probable another lag is, its posterior tells.
/// How much no model explains is chosen by the evidence as ρ is: hardly anything for a snap, a sixth for a board in a hall.
/// Source: Bayesian linear regression, as in any text; the model is ours.
/// </remarks>
public sealed class WideArrivalFit
{
    /// <summary>Copies stand three samples apart at 48 kHz, which holds what lies below 8 kHz …</summary>
    private const double SpacingSeconds = 3 / 48000.0;

    /// <summary>… from 33 samples ahead of the middle to 33 behind it.</summary>
    private const int Reach = 11;

    /// <summary>Deviation of the bell in spacings: parts lie within some centimetres of the middle as seen from either microphone.</summary>
    private const double Bell = 2.7;

    /// <summary>Deviation of the copy in the middle over the size of the arrival.</summary>
    private const double MiddleShare = 0.6;

    private const double FullHz = 6500;
    private const double EndHz = 9500;

    private const int Copies = 2 * Reach + 1;
    private const int Unknowns = Copies + SmoothResponse.LowTerms;

    // What no model explains over what is taken to be usual.
    private static readonly double[] MisfitTimes = [1, 3, 10];

    private static readonly double[] LowSigma = [0.8, 0.3];

    private readonly double sampleRateHz;
    private readonly DirectArrivalFit point;
    private readonly MeantBand band;
    private readonly Complex[][] copies = new Complex[Copies][];
    private readonly Complex[] work;

    public WideArrivalFit(double sampleRateHz, DirectArrivalFit point)
    {
        (this.sampleRateHz, this.point) = (sampleRateHz, point);
        var transform = point.Transform;
        band = new MeantBand(sampleRateHz, transform);
        work = new Complex[transform.BinCount];
        for (var copy = 0; copy < Copies; copy++)
        {
            copies[copy] = new Complex[transform.BinCount];
            for (var k = 0; k < transform.BinCount; k++)
            {
                var fade = Math.Clamp((EndHz - k * sampleRateHz / transform.Size) / (EndHz - FullHz), 0, 1);
                copies[copy][k] = Complex.FromPolarCoordinates(
                    0.5 - 0.5 * Math.Cos(Math.PI * fade), -transform.Omega(k) * (copy - Reach) * SpacingSeconds * sampleRateHz);
            }
        }
    }

    /// <summary>The fit with the best ρ and the best share of misfit about a lag; null where there is none.</summary>
    /// <param name="data">What to fit.</param>
    /// <param name="about">Where the middle of the arrival is, roughly, and how large it is; its tail share is the first that is tried.</param>
    /// <param name="scale">Size of the strongest arrival, which sets the scale of reflections.</param>
    /// <param name="near">The alignment that is asked for; null = the best there is.</param>
    public ArrivalFit? FitBest(ArrivalData data, ArrivalFit about, double scale, ArrivalFit? near = null)
    {
        var columns = Columns(data, about.Delay);
        var (tails, times) = (DirectArrivalFit.TailShares, MisfitTimes);
        var (tail, misfit) = (Math.Max(0, Array.IndexOf(tails, about.TailShare)), 0);
        HashSet<(int, int)> tried = [(tail, misfit)];
        // One step at a time along either, as long as the evidence grows.
        var best = Try(tail, misfit);
        for (var moved = true; moved;)
        {
            moved = false;
            foreach (var (tailStep, misfitStep) in ((int, int)[])[(1, 0), (-1, 0), (0, 1), (0, -1)])
            {
                var (nextTail, nextMisfit) = (tail + tailStep, misfit + misfitStep);
                if (nextTail < 0 || nextTail >= tails.Length || nextMisfit < 0 || nextMisfit >= times.Length || !tried.Add((nextTail, nextMisfit)))
                    continue;
                if (Try(nextTail, nextMisfit) is { } fit && fit.LogEvidence > (best?.LogEvidence ?? double.NegativeInfinity))
                    (best, tail, misfit, moved) = (fit, nextTail, nextMisfit, true);
            }
        }
        return best;

        ArrivalFit? Try(int tailAt, int misfitAt) =>
            Fit(data with { Misfit = data.Misfit.Times(times[misfitAt]) }, about with { TailShare = tails[tailAt] }, columns, scale, near);
    }

    private ArrivalFit? Fit(ArrivalData data, ArrivalFit about, double[][] columns, double scale, ArrivalFit? near)
    {
        var n = data.Window.Length;
        if (point.Whitener(data, about, scale) is not { } factor)
            return null;
        double[] white = [.. data.Window];
        factor.Whiten(white);
        var sigma = Sigmas(Math.Abs(about.Amplitude));
        var scaled = new double[Unknowns][];
        for (var i = 0; i < Unknowns; i++)
        {
            scaled[i] = [.. columns[i]];
            factor.Whiten(scaled[i]);
            for (var t = 0; t < n; t++)
                scaled[i][t] *= sigma[i];
        }
        // In units of their deviations the unknowns have the prior 1.
        var (information, right) = (new double[Unknowns * Unknowns], new double[Unknowns]);
        for (var i = 0; i < Unknowns; i++)
        {
            right[i] = CholeskyFactor.Dot(scaled[i], white);
            for (var j = 0; j <= i; j++)
                information[i * Unknowns + j] = information[j * Unknowns + i] = CholeskyFactor.Dot(scaled[i], scaled[j]) + (i == j ? 1 : 0);
        }
        if (SmallSolver.Inverse(information) is not { } covariance || CholeskyFactor.Factor([.. information], Unknowns) is not { } occam)
            return null;
        var found = new double[Unknowns];
        var explained = 0.0;
        for (var i = 0; i < Unknowns; i++)
        {
            for (var j = 0; j < Unknowns; j++)
                found[i] += covariance[i * Unknowns + j] * right[j];
            explained += found[i] * right[i];
        }
        var square = CholeskyFactor.Dot(white, white);
        var logEvidence = -0.5 * (square - explained + factor.LogDeterminant + occam.LogDeterminant);
        var model = new double[n];
        for (var i = 0; i < Unknowns; i++)
            for (var t = 0; t < n; t++)
                model[t] += found[i] * scaled[i][t];
        for (var t = 0; t < n; t++)
            white[t] -= model[t];
        // How far the arrival as a whole stands out, were its shape known.
        var strength = Math.Sqrt(CholeskyFactor.Dot(model, model));
        for (var i = 0; i < Unknowns; i++)
        {
            found[i] *= sigma[i];
            for (var j = 0; j < Unknowns; j++)
                covariance[i * Unknowns + j] *= sigma[i] * sigma[j];
        }
        return Weigh(data.Click, about, near, found, covariance, CholeskyFactor.Dot(white, white) / n) is { } fit
            ? fit with { LogEvidence = logEvidence, AmplitudeSigma = Math.Abs(fit.Amplitude) / Math.Max(strength, 1e-300) } : null;
    }

    /// <summary>The delay that is meant, its uncertainty, and how probably another lag is meant.</summary>
    private ArrivalFit? Weigh(SpotClick click, ArrivalFit about, ArrivalFit? near, double[] found, double[] covariance, double chiSquare)
    {
        var power = 1e-300;
        var weighed = new Complex[Unknowns][];
        var cross = new Complex[work.Length];
        for (var i = 0; i < Unknowns; i++)
        {
            weighed[i] = new Complex[work.Length];
            for (var bin = band.First; bin < band.End; bin++)
                weighed[i][bin] = SquaredMagnitude.Of(click.Spectrum[bin]) * Basis(i)[bin];
        }
        var passed = 0.0;
        for (var bin = band.First; bin < band.End; bin++)
        {
            for (var i = 0; i < Unknowns; i++)
                cross[bin] += found[i] * weighed[i][bin];
            var square = SquaredMagnitude.Of(click.Spectrum[bin]);
            power += square;
            passed += SquaredMagnitude.Of(cross[bin]) / Math.Max(square, 1e-300);
        }
        var summits = band.Summits(cross, (Reach + 1) * SpacingSeconds * sampleRateHz);
        if (near is not null)
        {
            if (summits.FindAll(s => Math.Sign(s.Value) == Math.Sign(near.Amplitude)) is not [_, ..] alike)
                return null;
            var asked = alike.MinBy(s => Math.Abs(about.Delay + s.DelaySamples - near.MeantDelay));
            summits = [asked, .. summits.Where(s => s != asked)];
        }
        if (summits.Count == 0 || !(summits[0].Value * summits[0].Bend < 0))
            return null;
        var best = summits[0];
        var (slope, height) = (new double[Unknowns], new double[Unknowns]);
        for (var i = 0; i < Unknowns; i++)
        {
            slope[i] = band.Slope(weighed[i], best);
            height[i] = Math.Sign(best.Value) * band.Of(weighed[i], best.DelaySamples).Value;
        }
        // What no model explains makes the whole posterior wider.
        var excess = Math.Max(1, chiSquare);
        var rivals = 0.0;
        foreach (var rival in summits.Skip(1).Take(4))
        {
            double[] difference = [.. Enumerable.Range(0, Unknowns).Select(i => height[i] - Math.Sign(rival.Value) * band.Of(weighed[i], rival.DelaySamples).Value)];
            var ahead = (Math.Abs(best.Value) - Math.Abs(rival.Value)) / Math.Sqrt(excess * Spread(covariance, difference) + 1e-300);
            rivals += 0.5 * SpecialFunctions.Erfc(ahead / Math.Sqrt(2));
        }
        var amplitude = Math.Sign(best.Value) * Math.Sqrt(passed / power);
        return about with
        {
            Amplitude = amplitude,
            Delay = about.Delay + best.DelaySamples,
            Response = new double[SmoothResponse.Count],
            MeantDelay = about.Delay + best.DelaySamples,
            MeantDelaySigma = Math.Sqrt(Spread(covariance, slope)),
            MeantAmplitude = amplitude,
            ReducedChiSquare = chiSquare,
            Rivals = Math.Min(1, rivals),
        };
    }

    private static double Spread(double[] covariance, double[] slope)
    {
        var variance = 0.0;
        for (var i = 0; i < Unknowns; i++)
            for (var j = 0; j < Unknowns; j++)
                variance += slope[i] * covariance[i * Unknowns + j] * slope[j];
        return Math.Max(0, variance);
    }

    private ReadOnlySpan<Complex> Basis(int unknown) =>
        unknown < Copies ? copies[unknown] : point.Response.LowTerm(unknown - Copies);

    private double[][] Columns(ArrivalData data, double delay)
    {
        var (transform, samples) = (point.Transform, new double[SpotClick.Size]);
        var columns = new double[Unknowns][];
        for (var i = 0; i < Unknowns; i++)
        {
            var basis = Basis(i);
            work[0] = 0;
            for (var k = 1; k < work.Length; k++)
                work[k] = data.Click.Spectrum[k] * basis[k] * Complex.FromPolarCoordinates(1, -transform.Omega(k) * delay);
            transform.Inverse(work, samples);
            columns[i] = samples.AsSpan(data.Offset, data.Window.Length).ToArray();
        }
        return columns;
    }

    private static double[] Sigmas(double amplitude)
    {
        var sigma = new double[Unknowns];
        for (var copy = 0; copy < Copies; copy++)
        {
            var offset = (copy - Reach) / Bell;
            sigma[copy] = amplitude * (MiddleShare * Math.Exp(-0.5 * offset * offset) + 0.002);
        }
        for (var low = 0; low < SmoothResponse.LowTerms; low++)
            sigma[Copies + low] = amplitude * LowSigma[low];
        return sigma;
    }
}
