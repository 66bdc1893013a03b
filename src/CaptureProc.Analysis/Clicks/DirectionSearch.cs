using System.Numerics;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Where a first arrival comes from and when, roughly.</summary>
/// <param name="Direction">Unit vector, right to about half the spacing of the grid (6°).</param>
/// <param name="Shift">Samples to add to the lag that was asked about.</param>
/// <param name="Amplitude">Pressure at the array's centre over the spot, with sign.</param>
public readonly record struct DirectionGuess(Vector3D Direction, int Shift, double Amplitude);

/// <summary>Finds the direction of a click at an array by trying directions all over the sphere.</summary>
/// <remarks>
/// Thread: one instance a thread.
/// The spot has heard what the click sounds like, so for every direction the four capsules are what the array's response to
/// it makes of that sound, but for size, sign and time: a matched filter for each direction, Σ gᴴ·s*·c/N. The strongest of all
/// directions and times wins, which is the maximum likelihood choice in noise of density N. It keeps its sense where wavelengths
/// are short against the array; an intensity vector from the plain B-format points anywhere there.
/// Only the first millisecond or so is looked at, so that reflections have not arrived yet.
/// </remarks>
public sealed class DirectionSearch
{
    private const int DirectionCount = 400;
    private const double LowestHz = 300;
    private const double HighestHz = 12000;

    /// <summary>The lag that is asked about may be off by this much.</summary>
    private const double ShiftSeconds = 0.0002;

    /// <summary>Noise is never taken to be below this share of the click's mean density, lest empty bins decide.</summary>
    private const double Floor = 1e-3;

    private readonly double sampleRateHz;
    private readonly Transform transform;
    private readonly Vector3D[] directions;
    private readonly Complex[][] responses;
    private readonly int firstBin, binCount, capsuleCount, before, after;

    public DirectionSearch(PointSourceManifold manifold, double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        (before, after) = ((int)(0.0005 * sampleRateHz), (int)(0.0016 * sampleRateHz));
        transform = new Transform((int)BitOperations.RoundUpToPowerOf2((uint)(2 * (before + after))));
        var binHz = sampleRateHz / transform.Size;
        firstBin = (int)Math.Ceiling(LowestHz / binHz);
        binCount = Math.Min((int)(HighestHz / binHz), transform.BinCount - 1) - firstBin + 1;
        capsuleCount = manifold.CapsuleCount;
        directions = SpherePoints(DirectionCount);
        responses = new Complex[directions.Length][];
        var response = new Complex[transform.BinCount];
        for (var d = 0; d < directions.Length; d++)
        {
            responses[d] = new Complex[capsuleCount * binCount];
            for (var i = 0; i < capsuleCount; i++)
            {
                manifold.Fill(i, directions[d], 3, 2 * Math.PI * binHz, response);
                for (var k = 0; k < binCount; k++)
                    responses[d][i * binCount + k] = Complex.Conjugate(response[firstBin + k]);
            }
        }
    }

    /// <param name="capsules">Excerpts of the capsules.</param>
    /// <param name="spot">The click in the spot.</param>
    /// <param name="onset">Sample of the excerpts at which the click begins in the spot.</param>
    /// <param name="lag">Samples by which the array hears it later, give or take <see cref="ShiftSeconds"/>.</param>
    public DirectionGuess Find(IReadOnlyList<double[]> capsules, SpotClick spot, int onset, int lag)
    {
        var click = transform.Forward(Cut(spot.Samples, SpotClick.Onset));
        var weight = new double[binCount];
        var heard = new Complex[capsuleCount][];
        for (var i = 0; i < capsuleCount; i++)
        {
            heard[i] = transform.Forward(Cut(capsules[i], onset + lag));
            var quiet = capsules[i].AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom);
            var noise = Background.Density(quiet, transform, transform.Size / 2);
            for (var k = 0; k < binCount; k++)
                weight[k] += noise[firstBin + k] / capsuleCount;
        }
        var level = 0.0;
        for (var i = 0; i < capsuleCount; i++)
            for (var k = 0; k < binCount; k++)
                level += SquaredMagnitude.Of(heard[i][firstBin + k]) / (capsuleCount * binCount * (before + after));
        for (var k = 0; k < binCount; k++)
            weight[k] = 1 / (weight[k] + Floor * level);

        var reach = (int)(ShiftSeconds * sampleRateHz);
        var (best, bestPower) = (default(DirectionGuess), -1.0);
        var sum = new Complex[transform.BinCount];
        var filtered = new double[transform.Size];
        for (var d = 0; d < directions.Length; d++)
        {
            var energy = 0.0;
            for (var k = 0; k < binCount; k++)
            {
                var (match, power) = (Complex.Zero, 0.0);
                for (var i = 0; i < capsuleCount; i++)
                {
                    var response = responses[d][i * binCount + k];
                    match += response * heard[i][firstBin + k];
                    power += SquaredMagnitude.Of(response);
                }
                sum[firstBin + k] = weight[k] * match * Complex.Conjugate(click[firstBin + k]);
                energy += 2 * weight[k] * power * SquaredMagnitude.Of(click[firstBin + k]);
            }
            energy /= transform.Size;
            transform.Inverse(sum, filtered);
            for (var shift = -reach; shift <= reach; shift++)
            {
                var value = filtered[(shift + transform.Size) % transform.Size];
                if (value * value / energy > bestPower)
                    (best, bestPower) = (new DirectionGuess(directions[d], shift, value / energy), value * value / energy);
            }
        }
        return best;
    }

    private double[] Cut(double[] signal, int arrival)
    {
        var cut = signal.AsSpan(arrival - before, before + after).ToArray();
        var fade = after / 3;
        for (var n = 0; n < fade; n++)
            cut[^(n + 1)] *= 0.5 - 0.5 * Math.Cos(Math.PI * (n + 0.5) / fade);
        return cut;
    }

    /// <summary>Points spread evenly on a spiral from pole to pole, each a golden angle on from the last.</summary>
    private static Vector3D[] SpherePoints(int count)
    {
        var golden = Math.PI * (3 - Math.Sqrt(5));
        var points = new Vector3D[count];
        for (var i = 0; i < count; i++)
        {
            var z = 1 - (2 * i + 1.0) / count;
            var ring = Math.Sqrt(1 - z * z);
            var (sin, cos) = Math.SinCos(golden * i);
            points[i] = new Vector3D(ring * cos, ring * sin, z);
        }
        return points;
    }
}
