using System.Numerics;
using CaptureProc.Analysis.Spectra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A click as spot and array have heard it together.</summary>
/// <remarks>
/// Thread: one instance of the transform a thread.
/// A direction is found by comparing the capsules with what the click sounds like, and at 20 dB what the spot tells of that is no
/// better than what the capsules themselves tell, once a beam has put them together. So the two are joined, each frequency
/// weighted by its noise: maximum likelihood with an unknown sound, taken in turns (sound, direction, sound). It takes away
/// most of what the spot's noise adds to the variance of the direction. The array speaks for the first two milliseconds only; later its
/// reflections come in, and what may come sooner counts as noise of the beam.
/// The delay cannot gain from it: that is about when the spot heard the click, and nobody else knows.
/// Source: deterministic maximum likelihood of array processing, as in any text on direction finding.
/// </remarks>
public static class JointClick
{
    private const double ArraySpeaksSeconds = 0.0015;
    private const double FadeSeconds = 0.0005;

    /// <param name="spot">The click as the spot heard it.</param>
    /// <param name="beam">Excerpt of the pressure at the array's centre.</param>
    /// <param name="arrival">Sample of the excerpt at which the click begins there, before the fit's own delay.</param>
    /// <param name="fit">Size, rest of the delay, and the response between spot and array.</param>
    /// <param name="response">What the fit's coefficients mean.</param>
    /// <param name="scale">Size of the strongest arrival.</param>
    /// <param name="sampleRateHz">Working rate.</param>
    /// <param name="transform">Of <see cref="SpotClick.Size"/>.</param>
    /// <returns>The click as the array's microphones hear it.</returns>
    public static SpotClick Of(
        RecordedClick spot, double[] beam, int arrival, ArrivalFit fit, SmoothResponse response, double scale, double sampleRateHz, Transform transform)
    {
        var sound = transform.Forward(spot.Samples);
        var noise = new double[sound.Length];
        var factor = new Complex[sound.Length];
        response.Fill(fit.Response, factor);
        sound[0] = 0;
        for (var k = 1; k < sound.Length; k++)
        {
            sound[k] *= factor[k];
            noise[k] = spot.Noise[k] * SquaredMagnitude.Of(factor[k]);
        }

        var heard = transform.Forward(SpotClick.Cut(beam, arrival));
        heard[0] = 0;
        for (var k = 1; k < heard.Length; k++)
            heard[k] *= Complex.FromPolarCoordinates(1 / fit.Amplitude, transform.Omega(k) * fit.Delay);
        var difference = transform.Inverse(heard);
        var alone = transform.Inverse(sound);
        var end = (int)((ArraySpeaksSeconds + FadeSeconds) * sampleRateHz);
        for (var n = 0; n < difference.Length; n++)
        {
            var rest = (SpotClick.Onset + end - n) / (FadeSeconds * sampleRateHz);
            difference[n] = rest <= 0 ? 0 : (difference[n] - alone[n]) * (rest >= 1 ? 1 : 0.5 - 0.5 * Math.Cos(Math.PI * rest));
        }

        var step = transform.Forward(difference);
        var background = Background.Density(
            beam.AsSpan(Excerpts.QuietFrom, Excerpts.Quiet - Excerpts.QuietFrom), transform, SpotClick.Size / 8);
        var reflections = scale * scale * fit.TailShare;
        for (var k = 1; k < sound.Length; k++)
        {
            var power = sound[k].Real * sound[k].Real + sound[k].Imaginary * sound[k].Imaginary;
            var beamNoise = (background[k] + reflections * power) / (fit.Amplitude * fit.Amplitude);
            sound[k] += noise[k] / (noise[k] + beamNoise + 1e-30) * step[k];
        }
        return SpotClick.Of(new RecordedClick(transform.Inverse(sound), noise), [], sampleRateHz, transform);
    }
}
