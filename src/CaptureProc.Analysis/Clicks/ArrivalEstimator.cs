using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What one click says about one spot.</summary>
public sealed record Arrival
{
    public required double DelaySamples { get; init; }
    public required double DelaySigma { get; init; }
    public required double Amplitude { get; init; }
    public required double AmplitudeSigma { get; init; }
    public required Vector3D Direction { get; init; }
    public required double DirectionSigmaRad { get; init; }
    public required double TailShare { get; init; }
    public required double ReducedChiSquare { get; init; }
    public required double Proximity { get; init; }
    public required int CandidateCount { get; init; }
}

public sealed class ArrivalEstimator
{
    public const int ExcerptSize = 16384;
    private static readonly double[] TailShares = [0, 1e-4, 1e-3, 1e-2, 1e-1];

    private readonly PointSourceManifold manifold;
    private readonly double sampleRateHz, speedOfSoundMps;
    private readonly ArrivalCandidates candidates;
    private readonly DirectionSearch search;
    private readonly DirectArrivalFit fit;
    private readonly Transform whole = new(ExcerptSize);

    public ArrivalEstimator(CapsuleArray array, double sampleRateHz, double speedOfSoundMps)
    {
        manifold = new PointSourceManifold(array, speedOfSoundMps);
        (this.sampleRateHz, this.speedOfSoundMps) = (sampleRateHz, speedOfSoundMps);
        candidates = new ArrivalCandidates(sampleRateHz);
        search = new DirectionSearch(manifold, sampleRateHz);
        fit = new DirectArrivalFit(sampleRateHz);
    }

    public Arrival? Estimate(IReadOnlyList<double[]> capsules, double[] spot, int onset, int quiet)
    {
        capsules = [.. capsules.Select(WithoutRumble)];
        spot = WithoutRumble(spot);
        var click = SpotClick.Of(spot, onset, quiet, sampleRateHz, fit.Transform);
        var (w, _, _, _) = manifold.PlainEncode(capsules);
        var found = candidates.Find(w, click, onset, quiet);
        if (found.Count == 0)
            return null;
        var first = found[0];
        foreach (var c in found)
            if (c.Lag - found[0].Lag < 0.0006 * sampleRateHz && Math.Abs(c.Amplitude) > Math.Abs(first.Amplitude))
                first = c;
        var strongest = 0.0;
        foreach (var c in found)
            strongest = Math.Max(strongest, Math.Abs(c.Amplitude));
        var tail = Math.Min(strongest, 4 * Math.Abs(first.Amplitude));

        var length = WindowLength(click);
        var guess = search.Find(capsules, click, onset, first.Lag, quiet);
        var direction = guess.Direction;
        first = first with { Lag = first.Lag + guess.Shift, Amplitude = guess.Amplitude };
        if (Environment.GetEnvironmentVariable("DBG")!=null) Console.WriteLine($"first dir {CaptureProc.Dsp.Geometry.Direction.Of(direction)} {first} {guess}");
        ArrivalFit? final = null;
        var sigma = 0.0;
        for (var round = 0; round < 2; round++)
        {
            var distance = Math.Clamp((first.Lag) / sampleRateHz * speedOfSoundMps + 0.5, 0.8, 30);
            var beam = Beam(capsules, direction, distance);
            var data = Data(beam, click, first.Lag, onset, quiet, length);
            final = round == 0 ? BestFit(data, first.Amplitude, 0, tail) : fit.Fit(data, final!.Amplitude, final.ResidualDelay, tail, final.TailShare);
            if (final is null)
                return null;
            if (round == 0)
                (direction, sigma) = RefineDirection(capsules, click, first.Lag, onset, quiet, length, final, tail, direction, distance);
        }
        return new Arrival
        {
            DelaySamples = first.Lag + final!.ResidualDelay, DelaySigma = final.DelaySigma, Amplitude = final.Amplitude, AmplitudeSigma = final.AmplitudeSigma,
            Direction = direction, DirectionSigmaRad = sigma, TailShare = final.TailShare, ReducedChiSquare = final.ReducedChiSquare,
            Proximity = final.ProximityRadPerSecond, CandidateCount = found.Count,
        };
    }

    /// <summary>What lies below 60-180 Hz tells nothing about a click, and in a hall it is most of the noise.</summary>
    private double[] WithoutRumble(double[] signal)
    {
        var bins = whole.Forward(signal);
        for (var k = 0; k < bins.Length; k++)
        {
            var x = (k * sampleRateHz / whole.Size - 60) / 120;
            if (x >= 1)
                break;
            bins[k] *= x <= 0 ? 0 : 0.5 - 0.5 * Math.Cos(Math.PI * x);
        }
        return whole.Inverse(bins);
    }

    private int Before => (int)(0.001 * sampleRateHz);

    private ArrivalData Data(double[] reference, SpotClick click, int lag, int onset, int quiet, int length)
    {
        var start = onset + lag - Before;
        var window = reference.AsSpan(start, length).ToArray();
        var from = Math.Max(0, quiet - (int)(0.1 * sampleRateHz));
        var noise = Background.Autocovariance(reference.AsSpan(from, quiet - from), length, length);
        return new ArrivalData(window, click, SpotClick.Onset - Before, noise);
    }

    /// <summary>Long enough to hold nearly all of the click, short enough to be solved quickly.</summary>
    private int WindowLength(SpotClick click)
    {
        var longest = (int)(0.006 * sampleRateHz);
        var total = 0.0;
        for (var i = 0; i < longest; i++)
            total += Square(i);
        var sum = 0.0;
        var length = 0;
        while (length < longest && sum < 0.995 * total)
        {
            sum += Square(length);
            length++;
        }
        return Before + Math.Clamp(length, (int)(0.003 * sampleRateHz), longest);

        double Square(int n) => click.Samples[SpotClick.Onset + n] * click.Samples[SpotClick.Onset + n];
    }

    private ArrivalFit? BestFit(ArrivalData data, double amplitude, double residual, double tail)
    {
        ArrivalFit? best = null;
        foreach (var share in TailShares)
        {
            var next = fit.Fit(data, best?.Amplitude ?? amplitude, best?.ResidualDelay ?? residual, tail, share);
            if (next is not null && (best is null || next.LogEvidence > best.LogEvidence))
                best = next;
        }
        return best;
    }

    private double[] Beam(IReadOnlyList<double[]> capsules, Vector3D direction, double distance)
    {
        var sum = new Complex[whole.BinCount];
        var power = new double[whole.BinCount];
        var response = new Complex[whole.BinCount];
        for (var i = 0; i < capsules.Count; i++)
        {
            manifold.Fill(i, direction, distance, whole.Omega(1) * sampleRateHz, response);
            var bins = whole.Forward(capsules[i]);
            for (var k = 0; k < sum.Length; k++)
            {
                sum[k] += Complex.Conjugate(response[k]) * bins[k];
                power[k] += response[k].Real * response[k].Real + response[k].Imaginary * response[k].Imaginary;
            }
        }
        for (var k = 0; k < sum.Length; k++)
            sum[k] /= power[k];
        return whole.Inverse(sum);
    }

    private (Vector3D Direction, double Sigma) RefineDirection(IReadOnlyList<double[]> capsules, SpotClick click, int lag, int onset, int quiet,
        int length, ArrivalFit direct, double tail, Vector3D direction, double distance)
    {
        var datas = new ArrivalData[capsules.Count];
        var noise = new double[length];
        for (var i = 0; i < datas.Length; i++)
        {
            datas[i] = Data(capsules[i], click, lag, onset, quiet, length);
            for (var n = 0; n < length; n++)
                noise[n] += datas[i].Noise[n] / datas.Length;
        }
        var a = direct.Amplitude;
        var tau = direct.ResidualDelay;
        var factor = fit.Whitener(datas[0] with { Noise = noise }, direct, tail);
        if (factor is null)
            return (direction, double.NaN);
        var transform = fit.Transform;
        var response = new Complex[transform.BinCount];
        var step = 0.002;
        double[]? covariance = null;
        for (var iteration = 0; iteration < 8; iteration++)
        {
            var (e1, e2) = Tangents(direction);
            var information = new double[16];
            var gradient = new double[4];
            for (var i = 0; i < datas.Length; i++)
            {
                var here = Model(i, direction, 0);
                var one = Model(i, (direction + step * e1).Normalised(), 0);
                var two = Model(i, (direction + step * e2).Normalised(), 0);
                var slope = Model(i, direction, 1);
                var residual = new double[length];
                for (var n = 0; n < length; n++)
                {
                    residual[n] = datas[i].Window[n] - a * here[n];
                    one[n] = a * (one[n] - here[n]) / step;
                    two[n] = a * (two[n] - here[n]) / step;
                    slope[n] *= a;
                }
                double[][] columns = [here, slope, one, two];
                factor.Whiten(residual);
                foreach (var column in columns)
                    factor.Whiten(column);
                for (var p = 0; p < 4; p++)
                {
                    gradient[p] += CholeskyFactor.Dot(columns[p], residual);
                    for (var q = 0; q < 4; q++)
                        information[p * 4 + q] += CholeskyFactor.Dot(columns[p], columns[q]);
                }
            }
            covariance = SmallSolver.Inverse(information);
            var move = SmallSolver.Solve(information, gradient);
            if (move is null)
                return (direction, double.NaN);
            if (Environment.GetEnvironmentVariable("DBG")!=null) Console.WriteLine($"  it {iteration} dir {CaptureProc.Dsp.Geometry.Direction.Of(direction)} a {a} tau {tau} move {string.Join(' ',move)}");
            var turn = Math.Sqrt(move[2] * move[2] + move[3] * move[3]);
            var limit = Math.Min(1, 0.3 / Math.Max(1e-9, turn));
            a += limit * move[0];
            tau += Math.Clamp(limit * move[1], -1, 1);
            direction = (direction + limit * (move[2] * e1 + move[3] * e2)).Normalised();
            if (turn < 1e-5)
                break;
        }
        return (direction, Math.Sqrt(0.5 * (covariance![10] + covariance[15])));

        double[] Model(int capsule, Vector3D from, int derivative)
        {
            manifold.Fill(capsule, from, distance, transform.Omega(1) * sampleRateHz, response);
            return fit.Template(datas[capsule], tau, direct.ProximityRadPerSecond, response, derivative);
        }
    }

    private static (Vector3D, Vector3D) Tangents(Vector3D u)
    {
        var e1 = Vector3D.Cross(Math.Abs(u.Z) < 0.9 ? Vector3D.Up : Vector3D.Front, u).Normalised();
        return (e1, Vector3D.Cross(u, e1));
    }
}
