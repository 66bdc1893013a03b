using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What may lie between a spot's direct sound and the array's, besides size and time: two microphones that are not alike, and a source that radiates unlike sound to them.</summary>
/// <remarks>
/// Thread: [any], once made. Shape: one complex factor a bin of the click's transform.
/// The factor is exp(Σ c_k·B_k(ω)). Microphones, their low cuts and presence rises are minimum phase, and so is the ratio of two of them, so
/// every B_k is the logarithm of a minimum-phase response: two terms for what happens below the band (1/(jω+ω₁) and its square,
/// to which low cuts of any order and the proximity rise come down above their corner), and bumps an octave apart with the phase that
/// belongs to them. What happens above the band looks like a delay, and is one.
/// Source: the relation between the magnitude and the phase of a minimum-phase response, by the folded cepstrum; Oppenheim and
/// Schafer, Discrete-Time Signal Processing (from memory).
/// </remarks>
public sealed class SmoothResponse
{
    /// <summary>How many coefficients there are.</summary>
    public const int Count = LowTerms + Bumps;

    private const int LowTerms = 2;
    private const int Bumps = 6;
    private const double LowHz = 300;
    private const double LowCornerHz = 60;
    private const double FirstBumpHz = 500;

    /// <summary>A delay is weighed over this band, where claps have their power and microphones agree best.</summary>
    private const double WeighedFromHz = 300;
    private const double WeighedToHz = 8000;

    private readonly Complex[][] basis = new Complex[Count][];
    private readonly Transform transform;
    private readonly int firstWeighed, endWeighed;

    public SmoothResponse(double sampleRateHz, Transform transform)
    {
        this.transform = transform;
        var binHz = sampleRateHz / transform.Size;
        (firstWeighed, endWeighed) = ((int)Math.Ceiling(WeighedFromHz / binHz), Math.Min((int)(WeighedToHz / binHz) + 1, transform.BinCount));
        var low = new Complex[transform.BinCount];
        for (var k = 0; k < low.Length; k++)
            low[k] = LowHz / new Complex(LowCornerHz, k * binHz);
        basis[0] = low;
        basis[1] = [.. low.Select(z => z * z)];
        for (var bump = 0; bump < Bumps; bump++)
        {
            var centreHz = FirstBumpHz * Math.Pow(2, bump);
            var isLast = bump == Bumps - 1;
            basis[LowTerms + bump] = MinimumPhase(k => Bump(Math.Log2(Math.Max(1, k * binHz) / centreHz), isLast));
        }
    }

    /// <summary>The factor a bin.</summary>
    public void Fill(ReadOnlySpan<double> coefficients, Span<Complex> response)
    {
        for (var bin = 0; bin < response.Length; bin++)
        {
            var exponent = Complex.Zero;
            for (var k = 0; k < Count; k++)
                exponent += coefficients[k] * basis[k][bin];
            response[bin] = Complex.Exp(exponent);
        }
    }

    /// <summary>The change of the factor's logarithm with one coefficient.</summary>
    public ReadOnlySpan<Complex> Slope(int coefficient) => basis[coefficient];

    /// <summary>By how much a response delays a sound, and how large it leaves it, where the sound's power counts from 300 Hz to 8 kHz.</summary>
    /// <remarks>The delay is the lag at which the sound and the sound through the response correlate best in that band.</remarks>
    /// <param name="response">One factor a bin.</param>
    /// <param name="sound">Spectrum of the sound.</param>
    public (double DelaySamples, double Gain) Weigh(ReadOnlySpan<Complex> response, ReadOnlySpan<Complex> sound)
    {
        Span<double> weight = stackalloc double[endWeighed - firstWeighed];
        Span<double> phase = stackalloc double[weight.Length];
        var (power, passed) = (1e-300, 0.0);
        for (var i = 0; i < weight.Length; i++)
        {
            var (h, s) = (response[firstWeighed + i], SquaredMagnitude.Of(sound[firstWeighed + i]));
            (weight[i], phase[i]) = (s * h.Magnitude, h.Phase);
            (power, passed) = (power + s, passed + s * SquaredMagnitude.Of(h));
        }
        // The best of a coarse grid, then Newton's steps on the slope of the correlation.
        var (best, bestValue) = (0.0, double.NegativeInfinity);
        for (var delay = -12.0; delay <= 12; delay += 0.5)
            if (Correlation(weight, phase, delay).Value is var value && value > bestValue)
                (best, bestValue) = (delay, value);
        for (var round = 0; round < 8; round++)
        {
            var (_, slope, bend) = Correlation(weight, phase, best);
            if (!(bend < 0))
                break;
            best -= Math.Clamp(slope / bend, -0.25, 0.25);
        }
        return (best, Math.Sqrt(passed / power));
    }

    private (double Value, double Slope, double Bend) Correlation(ReadOnlySpan<double> weight, ReadOnlySpan<double> phase, double delay)
    {
        var (value, slope, bend) = (0.0, 0.0, 0.0);
        for (var i = 0; i < weight.Length; i++)
        {
            var omega = transform.Omega(firstWeighed + i);
            var (sin, cos) = Math.SinCos(phase[i] + omega * delay);
            value += weight[i] * cos;
            slope -= weight[i] * omega * sin;
            bend -= weight[i] * omega * omega * cos;
        }
        return (value, slope, bend);
    }

    /// <summary>1 at its centre, 0 an octave away, so that neighbours add up to 1; the last one stays up.</summary>
    private static double Bump(double octaves, bool isLast) =>
        isLast && octaves > 0 ? 1 : Math.Abs(octaves) >= 1 ? 0 : 0.5 + 0.5 * Math.Cos(Math.PI * octaves);

    private Complex[] MinimumPhase(Func<int, double> logMagnitude)
    {
        // The logarithm of a minimum-phase response is the transform of a sequence that is zero before 0: fold the even one over.
        var even = new Complex[transform.BinCount];
        for (var k = 0; k < even.Length; k++)
            even[k] = logMagnitude(k);
        even[0] = even[1];
        // Bins 0 and Nyquist are dropped by the transform and put back by their neighbours' smoothness.
        var cepstrum = transform.Inverse(even);
        for (var n = 1; n < cepstrum.Length / 2; n++)
            (cepstrum[n], cepstrum[^n]) = (2 * cepstrum[n], 0);
        var folded = transform.Forward(cepstrum);
        for (var k = 0; k < folded.Length; k++)
            folded[k] = new Complex(even[k].Real, folded[k].Imaginary);
        return folded;
    }
}

/// <summary>What the coefficients of a <see cref="SmoothResponse"/> may be: independent and normal.</summary>
public sealed record ResponsePrior(double[] Mean, double[] Sigma)
{
    /// <summary>A spot of any make beside its player.</summary>
    /// <remarks>
    /// Below the band: the proximity rise of a directional spot half a metre from its source, 343 rad/s ± 300 for patterns from 0.35 to
    /// 0.8 at 0.3 to 0.9 m, and low cuts of up to the fourth order at 150 Hz (2.6·2π·150 rad/s the other way). In the band: ±1 dB low down, where
    /// microphones agree, growing to presence rises of 8 dB and to claps that radiate 10 dB less treble to one side. Common
    /// practice, no source.
    /// </remarks>
    public static readonly ResponsePrior DirectionalSpot = new(
        [-0.1, 0, 0, 0, 0, 0, 0, 0], [0.45, 0.08, 0.15, 0.17, 0.25, 0.35, 0.45, 0.6]);

    /// <summary>A capsule array's own W, or a beam of it: no proximity rise, and microphones of one make.</summary>
    public static readonly ResponsePrior CapsuleArray = new(
        [0, 0, 0, 0, 0, 0, 0, 0], [0.05, 0.02, 0.1, 0.1, 0.12, 0.2, 0.3, 0.4]);
}
