using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Patch;

/// <summary>One way the cables may be plugged.</summary>
/// <param name="Capsule">Which capsule is on each channel.</param>
/// <param name="Sign">Polarity of each channel; the first is +1, since turning all of them changes nothing that can be heard.</param>
internal sealed record Patching(int[] Capsule, int[] Sign);

/// <summary>Weighs all orders and polarities against what a clap from a known direction, or a tap at a known capsule, sounds like.</summary>
/// <remarks>
/// A clap from a direction reaches each capsule with the gain and the delay of the array's closed form; what the clap itself
/// sounds like is not known and drops out: the share of the energy that a patching leaves unexplained is what counts. Whoever
/// claps is not exactly where he was told to be, so the best of a few directions near it is taken. Shares of different claps
/// multiply, to a power that stands for how many independent things a clap tells; a floor keeps reflections and capsules
/// that are not quite ideal from deciding.
/// </remarks>
internal static class PatchLikelihood
{
    public const int Capsules = 4;

    private const double FromHz = 500;
    private const double ToHz = 7000;
    private const double LeastUnexplained = 0.03;
    private const double IndependentThings = 10;
    private const double TapLeadDb = 14;
    private const double TapSigmaDb = 5;
    private static readonly (double Azimuth, double Elevation)[] Near =
        [(0, 0), (12, 0), (-12, 0), (0, 12), (0, -12), (10, 10), (-10, 10), (10, -10), (-10, -10)];

    /// <summary>All 24 orders with all 8 relative polarities.</summary>
    public static IReadOnlyList<Patching> All { get; } = [.. Orders().SelectMany(order => Enumerable.Range(0, 8)
        .Select(bits => new Patching(order, [1, (bits & 1) == 0 ? 1 : -1, (bits & 2) == 0 ? 1 : -1, (bits & 4) == 0 ? 1 : -1])))];

    /// <summary>Log likelihood of every patching for claps from stated directions.</summary>
    public static double[] OfClaps(IReadOnlyList<SuddenSound> claps, IReadOnlyList<Direction> from, CapsuleArray array, double sampleRateHz, double speedOfSoundMps)
    {
        var likelihood = new double[All.Count];
        for (var clap = 0; clap < claps.Count; clap++)
        {
            var unexplained = new double[All.Count];
            Array.Fill(unexplained, 1);
            foreach (var near in Near)
            {
                var direction = new Direction(from[clap].AzimuthDeg + near.Azimuth, Math.Clamp(from[clap].ElevationDeg + near.Elevation, -90, 90));
                AddDirection(claps[clap], direction, array, sampleRateHz, speedOfSoundMps, unexplained);
            }
            for (var p = 0; p < likelihood.Length; p++)
                likelihood[p] -= IndependentThings * Math.Log(unexplained[p] + LeastUnexplained);
        }
        return likelihood;
    }

    /// <summary>Log likelihood of every patching for taps at capsules in turn; it does not depend on the polarities.</summary>
    public static double[] OfTaps(IReadOnlyList<SuddenSound> taps, IReadOnlyList<int> capsules)
    {
        var likelihood = new double[All.Count];
        for (var tap = 0; tap < taps.Count; tap++)
        {
            var levels = Enumerable.Range(0, Capsules).Select(c => 10 * Math.Log10(
                taps[tap].Re[c].Zip(taps[tap].Im[c], (re, im) => re * re + im * im).Sum() + 1e-20)).ToArray();
            var mean = levels.Average();
            for (var p = 0; p < likelihood.Length; p++)
            {
                for (var c = 0; c < Capsules; c++)
                {
                    var expected = All[p].Capsule[c] == capsules[tap] ? 0.75 * TapLeadDb : -0.25 * TapLeadDb;
                    var off = levels[c] - mean - expected;
                    likelihood[p] -= off * off / (2 * TapSigmaDb * TapSigmaDb);
                }
            }
        }
        return likelihood;
    }

    /// <summary>Probabilities that add up to 1, before anything else is known.</summary>
    public static double[] Posterior(double[] likelihood)
    {
        var largest = likelihood.Max();
        var weights = Array.ConvertAll(likelihood, l => Math.Exp(l - largest));
        var sum = weights.Sum();
        return Array.ConvertAll(weights, w => w / sum);
    }

    private static void AddDirection(SuddenSound clap, Direction direction, CapsuleArray array, double sampleRateHz, double speedOfSoundMps, double[] unexplained)
    {
        var size = SuddenSounds.TransformSize(sampleRateHz);
        var (first, last) = ((int)Math.Ceiling(FromHz * size / sampleRateHz), (int)(ToHz * size / sampleRateHz));
        var u = direction.ToUnitVector();
        var look = array.LookDirections();
        // Σ over frequencies of |Σ_c a*·X|²/|a|² is a sum over pairs of channels and capsules, so it is taken once for all patchings.
        var own = new double[Capsules * Capsules];
        var pair = new double[Capsules * Capsules, Capsules * Capsules];
        var total = 0.0;
        for (var bin = first; bin <= last; bin++)
        {
            var a = look.Select(v => PlaneWaveResponse.Evaluate(v, u, array.RadiusM, array.Pattern, 2 * Math.PI * bin * sampleRateHz / size / speedOfSoundMps)).ToArray();
            var power = a.Sum(x => x.Real * x.Real + x.Imaginary * x.Imaginary);
            // Terms conj(a_k)·X_c for every capsule k and channel c.
            var terms = new Complex[Capsules * Capsules];
            for (var c = 0; c < Capsules; c++)
            {
                var x = new Complex(clap.Re[c][bin], clap.Im[c][bin]);
                total += x.Real * x.Real + x.Imaginary * x.Imaginary;
                for (var k = 0; k < Capsules; k++)
                    terms[c * Capsules + k] = Complex.Conjugate(a[k]) * x / Math.Sqrt(power);
            }
            for (var i = 0; i < terms.Length; i++)
            {
                own[i] += terms[i].Real * terms[i].Real + terms[i].Imaginary * terms[i].Imaginary;
                for (var j = i + 1; j < terms.Length; j++)
                    pair[i, j] += terms[i].Real * terms[j].Real + terms[i].Imaginary * terms[j].Imaginary;
            }
        }
        for (var p = 0; p < unexplained.Length; p++)
        {
            var explained = 0.0;
            for (var c = 0; c < Capsules; c++)
            {
                var i = c * Capsules + All[p].Capsule[c];
                explained += own[i];
                for (var d = c + 1; d < Capsules; d++)
                    explained += 2 * All[p].Sign[c] * All[p].Sign[d] * pair[i, d * Capsules + All[p].Capsule[d]];
            }
            unexplained[p] = Math.Min(unexplained[p], Math.Max(0, 1 - explained / total));
        }
    }

    private static IEnumerable<int[]> Orders() =>
        from a in Enumerable.Range(0, Capsules)
        from b in Enumerable.Range(0, Capsules)
        from c in Enumerable.Range(0, Capsules)
        from d in Enumerable.Range(0, Capsules)
        where a != b && a != c && a != d && b != c && b != d && c != d
        select new[] { a, b, c, d };
}
