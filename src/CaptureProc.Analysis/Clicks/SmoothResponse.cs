using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What may lie between a spot's direct sound and the array's, besides size and time.</summary>
/// <remarks>
/// Thread: [any], once made. Shape: one complex factor a bin of the click's transform.
/// Two microphones are not alike, and a source sounds different to two sides. The factor is exp(Σ c_k·B_k(ω)).
/// Microphones, their low cuts and presence rises are minimum phase, and so is the ratio of two of them, so every B_k is the logarithm of a
/// minimum-phase response: two terms for what happens below the band (1/(jω+ω₁) and its square, to which low cuts of any order and the
/// proximity rise come down above their corner), and bumps half an octave apart with the phase that belongs to them. What happens above the
/// band looks like a delay, and is one. Where the source is no point: <see cref="WideArrivalFit"/>.
/// Source: the relation between the magnitude and the phase of a minimum-phase response, by the folded cepstrum; Oppenheim and
/// Schafer, Discrete-Time Signal Processing (from memory).
/// </remarks>
public sealed class SmoothResponse
{
    /// <summary>How many coefficients there are.</summary>
    public const int Count = LowTerms + Bumps;

    internal const int LowTerms = 2;
    private const int Bumps = 12;
    private const double BumpsPerOctave = 2;
    private const double FirstBumpHz = 400;
    private const double LowHz = 300;
    private const double LowCornerHz = 60;

    /// <summary>No response of this kind delays a sound by more.</summary>
    private const double FarthestSamples = 20;

    private readonly Complex[][] basis = new Complex[Count][];
    private readonly Transform transform;
    private readonly MeantBand band;

    public SmoothResponse(double sampleRateHz, Transform transform)
    {
        this.transform = transform;
        var binHz = sampleRateHz / transform.Size;
        band = new MeantBand(sampleRateHz, transform);
        var low = new Complex[transform.BinCount];
        for (var k = 0; k < low.Length; k++)
            low[k] = LowHz / new Complex(LowCornerHz, k * binHz);
        basis[0] = low;
        basis[1] = [.. low.Select(z => z * z)];
        for (var bump = 0; bump < Bumps; bump++)
        {
            var centreHz = FirstBumpHz * Math.Pow(2, bump / BumpsPerOctave);
            var isLast = bump == Bumps - 1;
            basis[LowTerms + bump] = MinimumPhase(k => Bump(BumpsPerOctave * Math.Log2(Math.Max(1, k * binHz) / centreHz), isLast));
        }
    }

    /// <summary>One of the two terms for what happens below the band.</summary>
    internal ReadOnlySpan<Complex> LowTerm(int term) => basis[term];

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

    /// <summary>The change of the factor with one coefficient, given the factor.</summary>
    public Complex Slope(int coefficient, int bin, Complex factor) => basis[coefficient][bin] * factor;

    /// <summary>By how much a response delays a sound, and how large it leaves it, where the sound's power counts from 300 Hz to 8 kHz.</summary>
    /// <remarks>The delay is the lag at which the sound and the sound through the response correlate best in that band.</remarks>
    /// <param name="coefficients">Of the response.</param>
    /// <param name="sound">Spectrum of the sound.</param>
    /// <param name="slope">Takes the change of the delay with every coefficient.</param>
    public (double DelaySamples, double Gain) Weigh(ReadOnlySpan<double> coefficients, ReadOnlySpan<Complex> sound, Span<double> slope)
    {
        var response = new Complex[transform.BinCount];
        Fill(coefficients, response);
        var (power, passed) = (1e-300, 0.0);
        for (var k = band.First; k < band.End; k++)
        {
            var square = SquaredMagnitude.Of(sound[k]);
            (power, passed) = (power + square, passed + square * SquaredMagnitude.Of(response[k]));
            response[k] *= square;
        }
        var best = band.Best(response, FarthestSamples);
        slope.Clear();
        var change = new Complex[transform.BinCount];
        for (var k = 0; k < Count && best.Bend < 0; k++)
        {
            for (var bin = band.First; bin < band.End; bin++)
                change[bin] = basis[k][bin] * response[bin];
            slope[k] = band.Slope(change, best);
        }
        return (best.DelaySamples, Math.Sqrt(passed / power));
    }

    /// <summary>1 at its centre, 0 where the next one has its own, so that neighbours add up to 1; the last one stays up.</summary>
    private static double Bump(double spacings, bool isLast) =>
        isLast && spacings > 0 ? 1 : Math.Abs(spacings) >= 1 ? 0 : 0.5 + 0.5 * Math.Cos(Math.PI * spacings);

    private Complex[] MinimumPhase(Func<int, double> logMagnitude)
    {
        // The logarithm of a minimum-phase response is the transform of a sequence that is zero before 0: fold the even one over.
        var even = new Complex[transform.BinCount];
        for (var k = 0; k < even.Length; k++)
            even[k] = logMagnitude(k);
        var cepstrum = transform.Inverse(even);
        for (var n = 1; n < cepstrum.Length / 2; n++)
            (cepstrum[n], cepstrum[^n]) = (2 * cepstrum[n], 0);
        var folded = transform.Forward(cepstrum);
        for (var k = 0; k < folded.Length; k++)
            folded[k] = new Complex(even[k].Real, folded[k].Imaginary);
        return folded;
    }
}
