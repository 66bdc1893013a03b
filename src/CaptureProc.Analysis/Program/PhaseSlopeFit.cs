namespace CaptureProc.Analysis.Program;

/// <summary>The delay that the phase of a cross-spectrum tells, near a lag that is known to within a sample or two.</summary>
/// <param name="DelayFrames">Against the lag at which the windows were read.</param>
/// <param name="Sigma">The bound for the coherence that was found (Knapp and Carter).</param>
/// <param name="EffectiveOmega">Root of the weighted mean square frequency, radians a frame: how much phase a frame of delay makes.</param>
/// <param name="Gain">W over the spot, over the coherent bins; negative where inverted.</param>
public readonly record struct PhaseSlope(double DelayFrames, double Sigma, double EffectiveOmega, double Gain);

/// <summary>Maximum-likelihood fit of delay and proximity to a cross-spectrum.</summary>
/// <remarks>
/// Model of the phase: −ω·τ + b/ω + (0 or π). The second term is what a directional spot close to its source adds: its gradient part
/// turns the phase by atan((1−α)c/(r·ω)). b is taken to be 340 ± 200 rad/s, which covers cardioids from 0.3 to 0.9 m; the music
/// corrects that where it has bass enough to say. Weights γ²/(1−γ²) make it the maximum-likelihood estimate; the peak is found on a
/// grid of a tenth of a sample and refined by Newton steps, so no parabola pulls it towards a sample.
/// </remarks>
public static class PhaseSlopeFit
{
    private const double LowestHz = 250;
    private const double HighestHz = 12000;
    private const double ProximityMean = 340;
    private const double ProximitySigma = 200;
    private const double ReachFrames = 3;

    public static PhaseSlope? Fit(SpectrumSum sum, int windowFrames, double sampleRateHz, int sign)
    {
        var points = Collect(sum, windowFrames, sampleRateHz);
        if (points.Count < 8)
            return null;
        var (tau, b) = (GridSearch(points, sign), ProximityMean / sampleRateHz);
        for (var step = 0; step < 8; step++)
        {
            // Weighted least squares on the phase that is left; the unknowns are τ (frames) and b (radians a frame, at ω in radians a frame).
            double tt = 0, tb = 0, bb = 0, rt = 0, rb = 0;
            foreach (var p in points)
            {
                var left = WrapPhase(p.Phase - (sign < 0 ? Math.PI : 0) + p.Omega * tau - b / p.Omega);
                var (dt, db) = (-p.Omega, 1 / p.Omega);
                (tt, tb, bb) = (tt + p.Weight * dt * dt, tb + p.Weight * dt * db, bb + p.Weight * db * db);
                (rt, rb) = (rt + p.Weight * dt * left, rb + p.Weight * db * left);
            }
            var priorWeight = sampleRateHz * sampleRateHz / (ProximitySigma * ProximitySigma);
            bb += priorWeight;
            rb += priorWeight * (ProximityMean / sampleRateHz - b);
            var determinant = tt * bb - tb * tb;
            if (!(determinant > 0))
                return null;
            var (stepTau, stepB) = ((bb * rt - tb * rb) / determinant, (tt * rb - tb * rt) / determinant);
            (tau, b) = (tau + stepTau, b + stepB);
            if (Math.Abs(stepTau) < 1e-6)
                return new PhaseSlope(tau, Math.Sqrt(bb / determinant), EffectiveOmega(points), Gain(sum, points, sign));
        }
        return new PhaseSlope(tau, double.PositiveInfinity, EffectiveOmega(points), Gain(sum, points, sign));
    }

    private static List<Point> Collect(SpectrumSum sum, int windowFrames, double sampleRateHz)
    {
        var points = new List<Point>();
        for (var k = 1; k < sum.BinCount - 1; k++)
        {
            var hz = k * sampleRateHz / windowFrames;
            var coherence = sum.Coherence(k);
            if (hz < LowestHz || hz > HighestHz || coherence < 0.02)
                continue;
            // Variance of the phase of a bin: (1−γ²)/(2nγ²); two thirds of overlapping windows are independent.
            var weight = 2 * (sum.Count / 1.5) * coherence / (1 - coherence);
            points.Add(new Point(k, 2 * Math.PI * k / windowFrames, Math.Atan2(sum.CrossIm[k], sum.CrossRe[k]), weight));
        }
        return points;
    }

    private static double GridSearch(List<Point> points, int sign)
    {
        var (best, at) = (double.NegativeInfinity, 0.0);
        for (var tau = -ReachFrames; tau <= ReachFrames; tau += 0.1)
        {
            var likelihood = 0.0;
            foreach (var p in points)
                likelihood += sign * p.Weight * Math.Cos(p.Phase + p.Omega * tau);
            if (likelihood > best)
                (best, at) = (likelihood, tau);
        }
        return at;
    }

    private static double EffectiveOmega(List<Point> points) =>
        Math.Sqrt(points.Sum(p => p.Weight * p.Omega * p.Omega) / points.Sum(p => p.Weight));

    private static double Gain(SpectrumSum sum, List<Point> points, int sign)
    {
        double cross = 0, power = 0;
        foreach (var p in points)
        {
            cross += Math.Sqrt(sum.CrossRe[p.Bin] * sum.CrossRe[p.Bin] + sum.CrossIm[p.Bin] * sum.CrossIm[p.Bin]);
            power += sum.PowerOfSpot[p.Bin];
        }
        return sign * cross / power;
    }

    private static double WrapPhase(double phase) => phase - 2 * Math.PI * Math.Round(phase / (2 * Math.PI));

    private readonly record struct Point(int Bin, double Omega, double Phase, double Weight);
}
