using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Patch;

/// <summary>How well claps from stated directions fit every way to plug the cables, and how well they would fit other directions.</summary>
/// <param name="LogLikelihood">Of every patching in <see cref="PatchLikelihood.All"/>.</param>
/// <param name="LogLikelihoodElsewhere">Of claps that came from anywhere, all directions alike, whatever was said.</param>
/// <param name="HeardFrom">Where each clap seems to come from if the cables are in place.</param>
/// <param name="Unexplained">The share of each clap's energy that no single direction explains.</param>
internal sealed record ClapWeights(double[] LogLikelihood, double LogLikelihoodElsewhere, IReadOnlyList<Direction> HeardFrom, IReadOnlyList<double> Unexplained)
{
    private const double FromHz = 500;
    private const double ToHz = 7000;
    private const double LeastUnexplained = 0.03;
    private const double IndependentThings = 10;

    // Who claps beside a microphone and is told "left" stands within ten degrees of it in two of three cases (common practice, no source).
    private const double SigmaDeg = 10;
    private const double ReachDeg = 34;
    private const int GridDirections = 300;

    /// <summary>Weighs claps.</summary>
    /// <remarks>
    /// A clap from a direction reaches each capsule with the gain and the delay of the array's closed form; what the clap itself
    /// sounds like is not known and drops out: the share of the energy that a patching leaves unexplained is what counts. Whoever
    /// claps is not exactly where he was told to be, so directions around the stated one are tried, the less likely the farther they
    /// are. Shares of different claps multiply, to a power that stands for how many independent things a clap tells; a floor
    /// keeps reflections and capsules that are not quite ideal from deciding.
    /// </remarks>
    public static ClapWeights Of(IReadOnlyList<SuddenSound> claps, IReadOnlyList<Direction> stated, CapsuleArray array, double sampleRateHz, double speedOfSoundMps)
    {
        var grid = Grid();
        var likelihood = new double[PatchLikelihood.All.Count];
        // Cables in place, any polarity, are the first patchings: of claps from anywhere no more is asked.
        var elsewhere = new double[PatchLikelihood.SignsPerOrder];
        var perClap = new List<double[,]>();
        // The density of a direction within ten degrees of the stated one, over that of all directions alike.
        var prior = Math.Log(SigmaDeg * SigmaDeg * Math.PI / 180 * Math.PI / 180 / 2);
        for (var clap = 0; clap < claps.Count; clap++)
        {
            Direction[] directions = [stated[clap], .. grid];
            var shares = new double[directions.Length, PatchLikelihood.All.Count];
            var offDeg = Array.ConvertAll(directions, d => Direction.AngleBetweenDeg(d, stated[clap]));
            for (var d = 0; d < directions.Length; d++)
                Explain(claps[clap], directions[d], array, sampleRateHz, speedOfSoundMps, shares, d, offDeg[d] <= ReachDeg ? likelihood.Length : elsewhere.Length);
            perClap.Add(shares);
            for (var p = 0; p < likelihood.Length; p++)
            {
                var (near, anywhere) = (double.NegativeInfinity, double.NegativeInfinity);
                for (var d = 0; d < directions.Length; d++)
                {
                    var fit = -IndependentThings * Math.Log(shares[d, p] + LeastUnexplained);
                    if (offDeg[d] <= ReachDeg)
                        near = Math.Max(near, fit - offDeg[d] * offDeg[d] / (2 * SigmaDeg * SigmaDeg));
                    if (p < elsewhere.Length)
                        anywhere = Math.Max(anywhere, fit + prior);
                }
                likelihood[p] += near;
                if (p < elsewhere.Length)
                    elsewhere[p] += anywhere;
            }
        }
        var right = Enumerable.Range(0, elsewhere.Length).MaxBy(p => elsewhere[p]);
        var best = perClap.Select(s => Enumerable.Range(0, s.GetLength(0)).MinBy(d => s[d, right])).ToList();
        return new ClapWeights(likelihood, elsewhere[right],
            [.. best.Select((d, clap) => d == 0 ? stated[clap] : grid[d - 1])], [.. best.Select((d, clap) => perClap[clap][d, right])]);
    }

    private static Direction[] Grid()
    {
        var directions = new Direction[GridDirections];
        for (var d = 0; d < directions.Length; d++)
        {
            // Fibonacci's sphere.
            var z = 1 - (2 * d + 1.0) / directions.Length;
            var (sin, cos) = Math.SinCos(Math.PI * (3 - Math.Sqrt(5)) * d);
            var ring = Math.Sqrt(1 - z * z);
            directions[d] = Direction.Of(new Vector3D(ring * cos, ring * sin, z));
        }
        return directions;
    }

    private static void Explain(SuddenSound clap, Direction direction, CapsuleArray array, double sampleRateHz, double speedOfSoundMps,
        double[,] unexplained, int row, int patchings)
    {
        const int Capsules = PatchLikelihood.Capsules;
        var size = SuddenSounds.TransformSize(sampleRateHz);
        var (first, last) = ((int)Math.Ceiling(FromHz * size / sampleRateHz), (int)(ToHz * size / sampleRateHz));
        var u = direction.ToUnitVector();
        var look = array.LookDirections();
        // Σ over frequencies of |Σ_c a*·X|²/|a|² is a sum over pairs of channels and capsules, so it is taken once for all patchings.
        var own = new double[Capsules * Capsules];
        var pair = new double[Capsules * Capsules, Capsules * Capsules];
        var total = 0.0;
        // With the cables in place only capsule c on channel c is asked for: every fifth term.
        var step = patchings > PatchLikelihood.SignsPerOrder ? 1 : Capsules + 1;
        var terms = new Complex[Capsules * Capsules];
        var a = new Complex[Capsules];
        for (var bin = first; bin <= last; bin++)
        {
            var power = 0.0;
            for (var k = 0; k < Capsules; k++)
            {
                a[k] = PlaneWaveResponse.Evaluate(look[k], u, array.RadiusM, array.Pattern, 2 * Math.PI * bin * sampleRateHz / size / speedOfSoundMps);
                power += a[k].Real * a[k].Real + a[k].Imaginary * a[k].Imaginary;
            }
            // Terms conj(a_k)·X_c for every capsule k and channel c.
            for (var c = 0; c < Capsules; c++)
            {
                var x = new Complex(clap.Re[c][bin], clap.Im[c][bin]);
                total += x.Real * x.Real + x.Imaginary * x.Imaginary;
                for (var k = 0; k < Capsules; k++)
                    terms[c * Capsules + k] = Complex.Conjugate(a[k]) * x / Math.Sqrt(power);
            }
            for (var i = 0; i < terms.Length; i += step)
            {
                own[i] += terms[i].Real * terms[i].Real + terms[i].Imaginary * terms[i].Imaginary;
                for (var j = i + step; j < terms.Length; j += step)
                    pair[i, j] += terms[i].Real * terms[j].Real + terms[i].Imaginary * terms[j].Imaginary;
            }
        }
        for (var p = 0; p < patchings; p++)
        {
            var (capsule, sign) = PatchLikelihood.All[p];
            var explained = 0.0;
            for (var c = 0; c < Capsules; c++)
            {
                var i = c * Capsules + capsule[c];
                explained += own[i];
                for (var d = c + 1; d < Capsules; d++)
                    explained += 2 * sign[c] * sign[d] * pair[i, d * Capsules + capsule[d]];
            }
            unexplained[row, p] = Math.Max(0, 1 - explained / total);
        }
    }
}
