using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What may lie between a spot's direct sound and the array's, besides size and time.</summary>
/// <remarks>
/// Thread: [any], once made. Shape: one complex factor a bin of the click's transform.
/// Two microphones are not alike, and a source sounds different to two sides. The factor is exp(Σ c_k·B_k(ω)) + Σ e_m·D_m(ω).
/// Microphones, their low cuts and presence rises are minimum phase, and so is the ratio of two of them, so every B_k is the logarithm of a
/// minimum-phase response: two terms for what happens below the band (1/(jω+ω₁) and its square, to which low cuts of any order and the
/// proximity rise come down above their corner), and bumps half an octave apart with the phase that belongs to them. What happens above the
/// band looks like a delay, and is one. Hands and boards are no points, and their parts reach two microphones in
/// unlike order: the D_m are copies of the sound a few samples sooner and later, up to 8 kHz.
/// Source: the relation between the magnitude and the phase of a minimum-phase response, by the folded cepstrum; Oppenheim and
/// Schafer, Discrete-Time Signal Processing (from memory).
/// </remarks>
public sealed class SmoothResponse
{
    /// <summary>How many coefficients there are.</summary>
    public const int Count = Curves + Copies;

    /// <summary>Coefficients of the exponent; those of the copies follow.</summary>
    public const int Curves = LowTerms + Bumps;

    /// <summary>Coefficients of the copies.</summary>
    public const int Copies = 15;

    private const int LowTerms = 2;
    private const int Bumps = 12;
    private const double BumpsPerOctave = 2;
    private const double FirstBumpHz = 400;
    private const double LowHz = 300;
    private const double LowCornerHz = 60;

    /// <summary>Copies stand three samples apart at 48 kHz, from 18 samples ahead to 24 behind.</summary>
    private const double CopySpacingSeconds = 3 / 48000.0;
    private const int FirstCopy = -6;
    private const double CopyFullHz = 6500;
    private const double CopyEndHz = 9500;

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
            var centreHz = FirstBumpHz * Math.Pow(2, bump / BumpsPerOctave);
            var isLast = bump == Bumps - 1;
            basis[LowTerms + bump] = MinimumPhase(k => Bump(BumpsPerOctave * Math.Log2(Math.Max(1, k * binHz) / centreHz), isLast));
        }
        for (var copy = 0; copy < Copies; copy++)
        {
            basis[Curves + copy] = new Complex[transform.BinCount];
            for (var k = 0; k < transform.BinCount; k++)
            {
                var fade = Math.Clamp((CopyEndHz - k * binHz) / (CopyEndHz - CopyFullHz), 0, 1);
                basis[Curves + copy][k] = Complex.FromPolarCoordinates(
                    0.5 - 0.5 * Math.Cos(Math.PI * fade), -transform.Omega(k) * OffsetSamples(copy, sampleRateHz));
            }
        }
    }

    /// <summary>By how much a copy comes later than the sound itself.</summary>
    private static double OffsetSamples(int copy, double sampleRateHz) => (FirstCopy + copy) * CopySpacingSeconds * sampleRateHz;

    /// <summary>The same in units of the copies' spacing, for priors.</summary>
    internal static int OffsetOfCopy(int copy) => FirstCopy + copy;

    /// <summary>The factor a bin.</summary>
    public void Fill(ReadOnlySpan<double> coefficients, Span<Complex> response) => Fill(coefficients, response, default);

    /// <summary>The factor a bin, and the part of it that curves make.</summary>
    public void Fill(ReadOnlySpan<double> coefficients, Span<Complex> response, Span<Complex> curve)
    {
        for (var bin = 0; bin < response.Length; bin++)
        {
            var (exponent, copies) = (Complex.Zero, Complex.Zero);
            for (var k = 0; k < Curves; k++)
                exponent += coefficients[k] * basis[k][bin];
            for (var k = Curves; k < Count; k++)
                copies += coefficients[k] * basis[k][bin];
            var smooth = Complex.Exp(exponent);
            if (!curve.IsEmpty)
                curve[bin] = smooth;
            response[bin] = smooth + copies;
        }
    }

    /// <summary>The change of the factor with one coefficient, given what curves make.</summary>
    public Complex Slope(int coefficient, int bin, Complex curve) =>
        coefficient < Curves ? basis[coefficient][bin] * curve : basis[coefficient][bin];

    /// <summary>By how much a response delays a sound, and how large it leaves it, where the sound's power counts from 300 Hz to 8 kHz.</summary>
    /// <remarks>The delay is the lag at which the sound and the sound through the response correlate best in that band.</remarks>
    /// <param name="coefficients">Of the response.</param>
    /// <param name="sound">Spectrum of the sound.</param>
    /// <param name="slope">Takes the change of the delay with every coefficient.</param>
    public (double DelaySamples, double Gain) Weigh(ReadOnlySpan<double> coefficients, ReadOnlySpan<Complex> sound, Span<double> slope)
    {
        var (response, curve) = (new Complex[transform.BinCount], new Complex[transform.BinCount]);
        Fill(coefficients, response, curve);
        var (power, passed) = (1e-300, 0.0);
        for (var k = firstWeighed; k < endWeighed; k++)
        {
            var square = SquaredMagnitude.Of(sound[k]);
            (power, passed) = (power + square, passed + square * SquaredMagnitude.Of(response[k]));
            response[k] *= square;
            curve[k] *= square;
        }
        // The best of a coarse grid, then Newton's steps on the slope of the correlation.
        var (best, bestValue) = (0.0, double.NegativeInfinity);
        for (var delay = -20.0; delay <= 20; delay += 0.5)
            if (Correlation(response, delay).Value is var value && value > bestValue)
                (best, bestValue) = (delay, value);
        var bend = 0.0;
        for (var round = 0; round < 8; round++)
        {
            var here = Correlation(response, best);
            bend = here.Bend;
            if (!(bend < 0))
                break;
            best -= Math.Clamp(here.Slope / bend, -0.25, 0.25);
        }
        slope.Clear();
        for (var k = 0; k < Count && bend < 0; k++)
        {
            var turned = 0.0;
            for (var bin = firstWeighed; bin < endWeighed; bin++)
            {
                var change = k < Curves ? basis[k][bin] * curve[bin] : basis[k][bin] * SquaredMagnitude.Of(sound[bin]);
                turned -= transform.Omega(bin) * (change * Complex.FromPolarCoordinates(1, transform.Omega(bin) * best)).Imaginary;
            }
            slope[k] = -turned / bend;
        }
        return (best, Math.Sqrt(passed / power));
    }

    private (double Value, double Slope, double Bend) Correlation(ReadOnlySpan<Complex> weighted, double delay)
    {
        var (value, slope, bend) = (0.0, 0.0, 0.0);
        var step = Complex.FromPolarCoordinates(1, transform.Omega(1) * delay);
        var turn = Complex.FromPolarCoordinates(1, transform.Omega(firstWeighed) * delay);
        for (var bin = firstWeighed; bin < endWeighed; bin++)
        {
            var omega = transform.Omega(bin);
            var turned = weighted[bin] * turn;
            turn *= step;
            value += turned.Real;
            slope -= omega * turned.Imaginary;
            bend -= omega * omega * turned.Real;
        }
        return (value, slope, bend);
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
