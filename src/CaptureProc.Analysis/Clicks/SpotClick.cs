using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A click with its noise, as many samples as <see cref="SpotClick.Size"/>, and the noise's power density.</summary>
public sealed record RecordedClick(double[] Samples, double[] Noise);

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

    private SpotClick(double[] gate, Complex[] spectrum, double[] samples, double[] residual, int[] clipped, double shrinkage) =>
        (Gate, Spectrum, Samples, Residual, Clipped, Shrinkage) = (gate, spectrum, samples, residual, clipped, shrinkage);

    /// <summary>What was recorded, noise and all; null for a click that was computed.</summary>
    public RecordedClick? Recorded { get; private init; }

    /// <summary>Gain over time, 0 to 1: how much of a sample is click and not noise.</summary>
    public double[] Gate { get; }

    public Complex[] Spectrum { get; }

    public double[] Samples { get; }

    /// <summary>Autocovariance of what remains unknown where the gate is open.</summary>
    public double[] Residual { get; }

    /// <summary>Samples at which the recording was cut off.</summary>
    public int[] Clipped { get; }

    /// <summary>How much smaller ŝ is than the click: a gain measured against ŝ is too large by this factor.</summary>
    public double Shrinkage { get; }

    /// <param name="excerpt">Excerpt of the spot.</param>
    /// <param name="onset">Sample at which the click begins in it.</param>
    /// <param name="sampleRateHz">Rate of the excerpt.</param>
    /// <param name="transform">Of <see cref="Size"/>.</param>
    public static SpotClick Of(ChannelExcerpt excerpt, int onset, double sampleRateHz, Transform transform)
    {
        var noise = Background.Density(
            excerpt.Samples.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom), transform, Size / 8);
        int[] clipped = [.. excerpt.Clipped.Select(n => n - onset + Onset).Where(n => n is >= 0 and < Size)];
        return Of(new RecordedClick(Cut(excerpt.Samples, onset), noise), clipped, sampleRateHz, transform);
    }

    /// <summary>Frees a recording that begins at <see cref="Onset"/> from its noise.</summary>
    public static SpotClick Of(RecordedClick recorded, int[] clipped, double sampleRateHz, Transform transform)
    {
        var (cut, noise) = recorded;
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
        var samples = transform.Inverse(spectrum);
        var unknown = transform.Inverse(residual);
        return new SpotClick(gate, spectrum, samples, unknown, clipped, ShrinkageOf(samples, cut, gate, unknown[0])) { Recorded = recorded };
    }

    /// <summary>A stretch of a channel in which a click begins at <see cref="Onset"/>, faded in and out.</summary>
    public static double[] Cut(double[] channel, int onset)
    {
        var cut = new double[Size];
        for (var n = 0; n < Size; n++)
        {
            var at = onset - Onset + n;
            var fade = Math.Min(1, (Math.Min(n, Size - 1 - n) + 0.5) / Fade);
            if (at >= 0 && at < channel.Length)
                cut[n] = channel[at] * (0.5 - 0.5 * Math.Cos(Math.PI * fade));
        }
        return cut;
    }

    /// <summary>Σŝ² over Σŝ·s; the recording stands in for s, less what its noise has in common with ŝ.</summary>
    private static double ShrinkageOf(double[] samples, double[] recorded, double[] gate, double unknown)
    {
        var (square, common) = (0.0, 0.0);
        for (var n = 0; n < Size; n++)
        {
            square += samples[n] * samples[n];
            common += samples[n] * recorded[n] - gate[n] * unknown;
        }
        return common > 0.2 * square ? Math.Clamp(square / common, 0.3, 1.2) : 1;
    }

    /// <summary>A click that is known exactly, for responses that were computed rather than recorded.</summary>
    /// <param name="samples">As many as <see cref="Size"/>, beginning at <see cref="Onset"/>.</param>
    /// <param name="transform">Of <see cref="Size"/>.</param>
    public static SpotClick Exact(double[] samples, Transform transform) =>
        new(new double[Size], transform.Forward(samples), samples, new double[Size], [], 1);

    /// <summary>The same click, taken as known exactly.</summary>
    public SpotClick WithoutNoise() => new(Gate, Spectrum, Samples, new double[Size], Clipped, Shrinkage);

    private static double[] GateOf(double[] cut, double[] noise, int reach, Transform transform)
    {
        var spectrum = transform.Forward(cut);
        var mean = 0.0;
        foreach (var bin in spectrum)
            mean += SquaredMagnitude.Of(bin) / (spectrum.Length * (double)Size);
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
                heard += SquaredMagnitude.Of(spectrum[j]);
                expected += noise[j] * openSamples;
            }
            gain[k] = Math.Max(0, 1 - expected / Math.Max(heard, 1e-300));
        }
        return gain;
    }
}
