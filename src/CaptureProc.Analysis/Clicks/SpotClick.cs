using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A click as its spot heard it, freed from noise as far as that goes.</summary>
/// <remarks>
/// Thread: one instance a thread to make; [any] to read.
/// Given what the spot recorded, the click itself is known only up to its noise. Wiener's estimate ŝ is what the recording says
/// about the click, and what it cannot say is independent of ŝ and has the density N·G, where G is Wiener's gain. So the
/// reference can be fitted with ŝ without the bias of a noisy regressor, if N·G is added to the reference's noise. G is taken
/// as a product: a gate over time, from the level of the whitened recording, and a gain over frequency.
/// </remarks>
public sealed class SpotClick
{
    /// <summary>Samples of the excerpt; the click begins at a quarter of it.</summary>
    public const int Size = 2048;

    public const int Onset = Size / 4;

    private const int Fade = 192;

    private SpotClick(double[] gate, Complex[] spectrum, double[] samples, double[] residual, int[] clipped) =>
        (Gate, Spectrum, Samples, Residual, Clipped) = (gate, spectrum, samples, residual, clipped);

    /// <summary>Gain over time, 0 to 1: how much of a sample is click and not noise.</summary>
    public double[] Gate { get; }

    public Complex[] Spectrum { get; }

    public double[] Samples { get; }

    /// <summary>Autocovariance of what remains unknown where the gate is open.</summary>
    public double[] Residual { get; }

    /// <summary>Samples at which the recording was cut off.</summary>
    public int[] Clipped { get; }

    /// <param name="spot">Excerpt of the spot.</param>
    /// <param name="onset">Sample at which the click begins in it.</param>
    /// <param name="quiet">Samples before this are free of the click.</param>
    /// <param name="sampleRateHz">Rate of the excerpt.</param>
    /// <param name="transform">Of <see cref="Size"/>.</param>
    public static SpotClick Of(double[] spot, int onset, int quiet, double sampleRateHz, Transform transform)
    {
        var cut = new double[Size];
        for (var n = 0; n < Size; n++)
        {
            var at = onset - Onset + n;
            var fade = Math.Min(1, (Math.Min(n, Size - 1 - n) + 0.5) / Fade);
            if (at >= 0 && at < spot.Length)
                cut[n] = spot[at] * (0.5 - 0.5 * Math.Cos(Math.PI * fade));
        }
        var from = Math.Max(0, quiet - (int)(0.1 * sampleRateHz));
        var noise = Background.Density(spot.AsSpan(from, quiet - from), transform, Size / 8);
        var gate = GateOf(cut, noise, (int)(0.0004 * sampleRateHz), transform);
        var gated = new double[Size];
        var open = 0.0;
        for (var n = 0; n < Size; n++)
        {
            gated[n] = gate[n] * cut[n];
            open += gate[n] * gate[n];
        }
        var spectrum = transform.Forward(gated);
        var gain = GainOf(spectrum, noise, open);
        var residual = new Complex[spectrum.Length];
        for (var k = 0; k < spectrum.Length; k++)
        {
            spectrum[k] *= gain[k];
            residual[k] = noise[k] * gain[k];
        }
        return new SpotClick(gate, spectrum, transform.Inverse(spectrum), transform.Inverse(residual), ClippedSamples(cut));
    }

    private static double[] GateOf(double[] cut, double[] noise, int reach, Transform transform)
    {
        var spectrum = transform.Forward(cut);
        var mean = 0.0;
        foreach (var bin in spectrum)
            mean += Norm(bin) / (spectrum.Length * (double)Size);
        for (var k = 0; k < spectrum.Length; k++)
            spectrum[k] /= Math.Sqrt(noise[k] + 1e-9 * mean + 1e-30);
        var white = transform.Inverse(spectrum);
        var gate = new double[Size];
        for (var n = 0; n < Size; n++)
        {
            var (sum, count) = (0.0, 0);
            for (var m = Math.Max(0, n - reach); m <= Math.Min(Size - 1, n + reach); m++, count++)
                sum += white[m] * white[m];
            // White noise of variance 1 stays below 1.5 over this many samples nearly always.
            gate[n] = Math.Max(0, 1 - 1.5 * count / Math.Max(sum, 1e-30));
        }
        return gate;
    }

    private static double[] GainOf(Complex[] spectrum, double[] noise, double openSamples)
    {
        const int reach = 8;
        var gain = new double[spectrum.Length];
        for (var k = 0; k < gain.Length; k++)
        {
            var (heard, expected) = (0.0, 0.0);
            for (var j = Math.Max(0, k - reach); j <= Math.Min(gain.Length - 1, k + reach); j++)
            {
                heard += Norm(spectrum[j]);
                expected += noise[j] * openSamples;
            }
            gain[k] = Math.Max(0, 1 - expected / Math.Max(heard, 1e-300));
        }
        return gain;
    }

    /// <summary>Runs of two or more samples at the very top: converters repeat their last value, sounds do not.</summary>
    private static int[] ClippedSamples(double[] cut)
    {
        var peak = 0.0;
        foreach (var sample in cut)
            peak = Math.Max(peak, Math.Abs(sample));
        var clipped = new List<int>();
        for (var n = 1; n < cut.Length - 1; n++)
        {
            var top = Math.Abs(cut[n]) >= 0.999 * peak;
            var repeats = Math.Abs(cut[n] - cut[n - 1]) < 1e-4 * peak || Math.Abs(cut[n] - cut[n + 1]) < 1e-4 * peak;
            if (top && repeats)
                clipped.Add(n);
        }
        return [.. clipped];
    }

    private static double Norm(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;
}
