using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Where a click comes from, and how well that is known about each of two axes (standard deviation).</summary>
public readonly record struct DirectionEstimate(Vector3D Direction, double SigmaRad);

/// <summary>A direction, and size and delay of the arrival as the capsules have them.</summary>
public readonly record struct DirectedFit(DirectionEstimate Direction, ArrivalFit Fit);

/// <summary>Refines the direction of a first arrival on the four capsules themselves.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// Generalised least squares as in <see cref="DirectArrivalFit"/>, of size, time and two angles at once, each capsule being
/// predicted through its exact response to a point source. So reflections weigh nothing, spacing between the
/// capsules helps rather than hurts, and the uncertainty comes with the result. An intensity vector was refused: it needs a
/// window free of reflections, and the B-format it is made of errs by tens of percent from 1 kHz up.
/// </remarks>
public sealed class DirectionFit(PointSourceManifold manifold, DirectArrivalFit fit)
{
    private const int MaxIterations = 20;
    private const int FullSteps = 8;
    private const double StepRad = 0.002;
    private const double LongestTurnRad = 0.3;

    /// <param name="capsules">One window a capsule.</param>
    /// <param name="start">The arrival as the reference has it.</param>
    /// <param name="scale">Size of the strongest arrival.</param>
    /// <param name="direction">Where to start.</param>
    /// <param name="distanceM">How far the source is, for the curvature of its waves.</param>
    /// <param name="sampleRateHz">Working rate.</param>
    public DirectedFit? Refine(
        ArrivalData[] capsules, ArrivalFit start, double scale, Vector3D direction, double distanceM, double sampleRateHz)
    {
        var n = capsules[0].Window.Length;
        var background = new double[n];
        foreach (var capsule in capsules)
            for (var t = 0; t < n; t++)
                background[t] += capsule.Background[t] / capsules.Length;
        var alike = capsules[0] with { Background = background };
        if (fit.Whitener(alike, start, scale, Unlike(alike, start, sampleRateHz)) is not { } factor)
            return null;

        var response = new Complex[fit.Transform.BinCount];
        var here = start;
        for (var iteration = 0; iteration < MaxIterations; iteration++)
        {
            var (e1, e2) = Tangents(direction);
            var (information, gradient) = (new double[16], new double[4]);
            for (var i = 0; i < capsules.Length; i++)
            {
                var template = Predict(i, direction, false);
                var slope = Predict(i, direction, true);
                var first = Predict(i, (direction + StepRad * e1).Normalised(), false);
                var second = Predict(i, (direction + StepRad * e2).Normalised(), false);
                var residual = new double[n];
                for (var t = 0; t < n; t++)
                {
                    residual[t] = capsules[i].Window[t] - here.Amplitude * template[t];
                    slope[t] *= here.Amplitude;
                    first[t] = here.Amplitude / StepRad * (first[t] - template[t]);
                    second[t] = here.Amplitude / StepRad * (second[t] - template[t]);
                }
                Accumulate(factor, residual, [template, slope, first, second], information, gradient);
            }
            if (SmallSolver.Solve(information, gradient) is not { } step || SmallSolver.Inverse(information) is not { } covariance)
                return null;
            var turn = Math.Sqrt(step[2] * step[2] + step[3] * step[3]);
            // Where capsules are not what they are taken for, full steps may swing to and fro for ever; shorter ones settle.
            var limit = Math.Min(iteration < FullSteps ? 1 : 0.4, LongestTurnRad / Math.Max(1e-12, turn));
            here = here with { Amplitude = here.Amplitude + limit * step[0], Delay = here.Delay + Math.Clamp(limit * step[1], -1, 1) };
            direction = (direction + limit * (step[2] * e1 + step[3] * e2)).Normalised();
            var sigma = Math.Sqrt(0.5 * (covariance[10] + covariance[15]));
            var isLast = iteration == MaxIterations - 1;
            if (turn < 0.03 * sigma || isLast)
                return new DirectedFit(new DirectionEstimate(direction, isLast ? Math.Max(sigma, turn) : sigma), here);
        }
        return null;

        double[] Predict(int capsule, Vector3D from, bool asSlope)
        {
            manifold.Fill(capsule, from, distanceM, fit.Transform.Omega(1) * sampleRateHz, response);
            return fit.Predict(capsules[capsule], here, response, asSlope);
        }
    }

    /// <summary>How far a capsule may be off its model: a share of the sound in each band, in phase or out of it, all through the window at once.</summary>
    /// <remarks>
    /// Patterns turn omni in the bass and gain higher orders in the treble, responses differ by a decibel, places and bodies by some
    /// tenths of a millimetre and more. Such errors do not average out over the samples of a click, so they have to be told from
    /// noise: directions then rest on what is least touched by them. The shares are common practice, no source.
    /// </remarks>
    private List<double[]> Unlike(ArrivalData data, ArrivalFit start, double sampleRateHz)
    {
        ReadOnlySpan<double> bandsHz = [250, 700];
        ReadOnlySpan<double> shares = [0.35, 0.12];
        var ways = new List<double[]>();
        var band = new Complex[fit.Transform.BinCount];
        for (var b = 0; b < bandsHz.Length; b++)
        {
            var lower = b == 0 ? 0 : bandsHz[b - 1];
            var upper = b == bandsHz.Length - 1 ? 4 * bandsHz[b] : bandsHz[b + 1];
            for (var k = 0; k < band.Length; k++)
            {
                var hz = Math.Max(1, fit.Transform.Omega(k) * sampleRateHz / (2 * Math.PI));
                var side = hz < bandsHz[b] ? (lower == 0 ? 0 : Math.Log(bandsHz[b] / hz) / Math.Log(bandsHz[b] / lower))
                    : double.IsInfinity(upper) ? 0 : Math.Log(hz / bandsHz[b]) / Math.Log(upper / bandsHz[b]);
                band[k] = start.Amplitude * shares[b] * (side >= 1 ? 0 : 0.5 + 0.5 * Math.Cos(Math.PI * side));
            }
            ways.Add(fit.Predict(data, start, band, false));
            for (var k = 0; k < band.Length; k++)
                band[k] *= Complex.ImaginaryOne;
            ways.Add(fit.Predict(data, start, band, false));
        }
        return ways;
    }

    private static void Accumulate(CholeskyFactor factor, double[] residual, double[][] columns, double[] information, double[] gradient)
    {
        factor.Whiten(residual);
        foreach (var column in columns)
            factor.Whiten(column);
        for (var p = 0; p < columns.Length; p++)
        {
            gradient[p] += CholeskyFactor.Dot(columns[p], residual);
            for (var q = 0; q < columns.Length; q++)
                information[p * columns.Length + q] += CholeskyFactor.Dot(columns[p], columns[q]);
        }
    }

    /// <summary>Two directions at right angles to a third and to each other.</summary>
    internal static (Vector3D First, Vector3D Second) Tangents(Vector3D u)
    {
        var first = Vector3D.Cross(Math.Abs(u.Z) < 0.9 ? Vector3D.Up : Vector3D.Front, u).Normalised();
        return (first, Vector3D.Cross(u, first));
    }
}
