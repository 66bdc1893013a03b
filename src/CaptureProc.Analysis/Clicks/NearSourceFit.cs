using System.Numerics;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Where a click close to a capsule array comes from: direction and distance, from the array alone.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// Nothing is known of the sound, so its spectrum is an unknown in every bin; what remains of the likelihood is the share of the
/// capsules' energy that a wave from there explains, Σ |gᴴc|²/(gᴴg·N). Within a metre the waves are curved: the capsules' paths differ in
/// the second order (a few hundredths of a sample), and the proximity rise is strong, which is what tells the distance. A prior
/// for the distance carries what the low end does not show. The maximum is found by a pattern search from a near guess.
/// </remarks>
public sealed class NearSourceFit
{
    private const double LowestHz = 200;
    private const double HighestHz = 12000;

    /// <summary>Half a metre, give or take a factor of 1.5.</summary>
    private const double UsualDistanceM = 0.5;
    private const double DistanceSpread = 0.4;

    /// <summary>What the model leaves unexplained is never less than this share of the click (−40 dB).</summary>
    private const double Misfit = 1e-4;

    private readonly PointSourceManifold manifold;
    private readonly Transform transform;
    private readonly double sampleRateHz;
    private readonly int before, after, firstBin, binCount;
    private readonly Complex[] response;

    public NearSourceFit(PointSourceManifold manifold, double sampleRateHz)
    {
        (this.manifold, this.sampleRateHz) = (manifold, sampleRateHz);
        (before, after) = ((int)(0.0005 * sampleRateHz), (int)(0.0014 * sampleRateHz));
        transform = new Transform((int)BitOperations.RoundUpToPowerOf2((uint)(before + after)) * 2);
        var binHz = sampleRateHz / transform.Size;
        (firstBin, binCount) = ((int)Math.Ceiling(LowestHz / binHz), (int)((HighestHz - LowestHz) / binHz));
        response = new Complex[transform.BinCount];
    }

    /// <param name="capsules">Excerpts of the capsules.</param>
    /// <param name="onset">Sample at which the click begins.</param>
    /// <param name="direction">Where to start.</param>
    public (Vector3D Direction, double DistanceM) Refine(IReadOnlyList<double[]> capsules, int onset, Vector3D direction)
    {
        var (heard, weight) = Prepare(capsules, onset);
        var best = (Direction: direction, DistanceM: UsualDistanceM);
        var bestScore = Score(heard, weight, best.Direction, best.DistanceM);
        for (var stepRad = 0.05; stepRad > 0.0005; stepRad /= 2)
        {
            var isBetter = true;
            while (isBetter)
            {
                isBetter = false;
                var (first, second) = DirectionFit.Tangents(best.Direction);
                foreach (var (turn, stretch) in ((Vector3D, double)[])[(first, 1), (-first, 1), (second, 1), (-second, 1), (default, 1 + 6 * stepRad), (default, 1 / (1 + 6 * stepRad))])
                {
                    var next = (Direction: (best.Direction + stepRad * turn).Normalised(), DistanceM: best.DistanceM * stretch);
                    var score = Score(heard, weight, next.Direction, next.DistanceM);
                    if (score <= bestScore)
                        continue;
                    (best, bestScore, isBetter) = (next, score, true);
                }
            }
        }
        return best;
    }

    private (Complex[][] Heard, double[] Weight) Prepare(IReadOnlyList<double[]> capsules, int onset)
    {
        var (heard, weight, level) = (new Complex[capsules.Count][], new double[binCount], 0.0);
        for (var i = 0; i < capsules.Count; i++)
        {
            var cut = capsules[i].AsSpan(onset - before, before + after).ToArray();
            var fade = after / 3;
            for (var n = 0; n < fade; n++)
                cut[^(n + 1)] *= 0.5 - 0.5 * Math.Cos(Math.PI * (n + 0.5) / fade);
            heard[i] = transform.Forward(cut);
            var noise = Background.Density(capsules[i].AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom), transform, transform.Size / 2);
            for (var k = 0; k < binCount; k++)
            {
                weight[k] += noise[firstBin + k] * cut.Length / capsules.Count;
                level += SquaredMagnitude.Of(heard[i][firstBin + k]) / (capsules.Count * binCount);
            }
        }
        // Zero padding doubles the number of bins, not what they say.
        for (var k = 0; k < binCount; k++)
            weight[k] = 0.5 / (weight[k] + Misfit * level);
        return (heard, weight);
    }

    private double Score(Complex[][] heard, double[] weight, Vector3D direction, double distanceM)
    {
        var (match, power) = (new Complex[binCount], new double[binCount]);
        for (var i = 0; i < heard.Length; i++)
        {
            manifold.Fill(i, direction, distanceM, transform.Omega(1) * sampleRateHz, response);
            for (var k = 0; k < binCount; k++)
            {
                match[k] += Complex.Conjugate(response[firstBin + k]) * heard[i][firstBin + k];
                power[k] += SquaredMagnitude.Of(response[firstBin + k]);
            }
        }
        var away = Math.Log(distanceM / UsualDistanceM) / DistanceSpread;
        var score = -0.5 * away * away;
        for (var k = 0; k < binCount; k++)
            score += weight[k] * SquaredMagnitude.Of(match[k]) / power[k];
        return score;
    }
}
