using System.Numerics;

namespace CaptureProc.Analysis.Program;

/// <summary>What lies between each spot and each capsule, from the music: the responses that explain the array by all spots at once.</summary>
/// <remarks>
/// Thread: [any]. Shape: one spectrum a capsule and one for the shape of an arrival, all on the bins of the spectra.
/// Every spot hears every player. Taken one by one, a spot's correlation with the array therefore has peaks for the others too,
/// and early ones. Taken together, capsule = Σ H_s·spot_s, the least-squares H = G⁻¹·g gives to each spot only what the other
/// spots cannot explain: the bleed drops out, because the neighbours' own microphones hear the neighbours better.
/// Between the notes there is nothing to divide by. A ridge of <see cref="Ridge"/> of the local level is added to G, and what it does
/// to a lone arrival is known: it gets the spectrum R = (G+ridge)⁻¹·G, which is handed on as its shape.
/// Source: multiple-input least squares, Bendat and Piersol, Random Data (from memory).
/// </remarks>
public sealed class SpotResponses
{
    private const double Ridge = 0.02;

    private readonly LongTermSpectra spectra;
    private readonly Complex[][][] capsules;
    private readonly double[][] shapes, weights;

    private SpotResponses(LongTermSpectra spectra)
    {
        this.spectra = spectra;
        capsules = [.. Enumerable.Range(0, spectra.SpotCount).Select(_ => Enumerable.Range(0, spectra.CapsuleCount).Select(_ => new Complex[spectra.BinCount]).ToArray())];
        shapes = [.. Enumerable.Range(0, spectra.SpotCount).Select(_ => new double[spectra.BinCount])];
        weights = [.. Enumerable.Range(0, spectra.SpotCount).Select(_ => new double[spectra.BinCount])];
    }

    /// <summary>H from a spot to a capsule.</summary>
    public Complex[] Capsule(int spot, int capsule) => capsules[spot][capsule];

    /// <summary>R: the spectrum of an arrival of size 1 at delay 0.</summary>
    public double[] Shape(int spot) => shapes[spot];

    /// <summary>Wiener's weight: how far H is signal rather than error, over a third of an octave.</summary>
    public double[] Weight(int spot) => weights[spot];

    public static SpotResponses Solve(LongTermSpectra spectra)
    {
        var result = new SpotResponses(spectra);
        var n = spectra.SpotCount;
        var levels = result.LocalLevels();
        var matrix = new Complex[n * n];
        var right = new Complex[n];
        var (signal, error) = (Table(n, spectra.BinCount), Table(n, spectra.BinCount));
        for (var k = 0; k < spectra.BinCount; k++)
        {
            for (var i = 0; i < n; i++)
                for (var j = 0; j <= i; j++)
                    matrix[i * n + j] = spectra.Between(i, j, k) + (i == j ? Ridge * levels[i][k] + 1e-30 : 0);
            if (!HermitianFactor.TryFactor(matrix, n))
                continue;
            var unexplained = 0.0;
            for (var c = 0; c < spectra.CapsuleCount; c++)
            {
                // Capsule = Σ H_s·S_s, times S_t*: Σ_s H_s·G_st = g_t. With Gᵀ = G*, the conjugates solve the Hermitian system.
                for (var t = 0; t < n; t++)
                    right[t] = Complex.Conjugate(spectra.ToCapsule(t, c, k));
                HermitianFactor.Solve(matrix, n, right);
                unexplained += spectra.CapsulePower(c, k) / spectra.CapsuleCount;
                for (var s = 0; s < n; s++)
                {
                    result.capsules[s][c][k] = Complex.Conjugate(right[s]);
                    unexplained -= (right[s] * spectra.ToCapsule(s, c, k)).Real / spectra.CapsuleCount;
                    signal[s][k] += Square(right[s]) / spectra.CapsuleCount;
                }
            }
            for (var s = 0; s < n; s++)
            {
                // Column s of (G+ridge)⁻¹·G is 1 minus the ridge's part.
                Array.Clear(right);
                right[s] = 1;
                HermitianFactor.Solve(matrix, n, right);
                result.shapes[s][k] = Math.Clamp(1 - Ridge * levels[s][k] * right[s].Real, 0, 1);
                // Variance of a least-squares coefficient: unexplained power over the blocks, times its element of G⁻¹.
                error[s][k] = Math.Max(0, unexplained) / spectra.BlockCount * right[s].Real;
            }
        }
        for (var s = 0; s < n; s++)
        {
            var (local, doubt) = (result.Local(signal[s]), result.Local(error[s]));
            for (var k = 0; k < spectra.BinCount; k++)
                result.weights[s][k] = local[k] > 0 ? Math.Max(0, 1 - doubt[k] / local[k]) : 0;
        }
        return result;
    }

    private double[][] LocalLevels()
    {
        var levels = new double[spectra.SpotCount][];
        var power = new double[spectra.BinCount];
        for (var s = 0; s < levels.Length; s++)
        {
            for (var k = 0; k < power.Length; k++)
                power[k] = spectra.Between(s, s, k).Real;
            levels[s] = Local(power);
        }
        return levels;
    }

    /// <summary>The mean over a third of an octave about every bin.</summary>
    private double[] Local(double[] power)
    {
        var running = new double[power.Length + 1];
        for (var k = 0; k < power.Length; k++)
            running[k + 1] = running[k] + power[k];
        var local = new double[power.Length];
        for (var k = 0; k < power.Length; k++)
        {
            var bin = k + spectra.FirstBin;
            var from = Math.Max(0, (int)(bin / 1.122) - spectra.FirstBin);
            var to = Math.Min(power.Length, (int)(bin * 1.122) + 1 - spectra.FirstBin);
            local[k] = (running[to] - running[from]) / (to - from);
        }
        return local;
    }

    private static double[][] Table(int rows, int length) => [.. Enumerable.Range(0, rows).Select(_ => new double[length])];

    private static double Square(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;
}
