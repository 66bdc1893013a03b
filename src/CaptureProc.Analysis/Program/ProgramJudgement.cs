using System.Globalization;
using CaptureProc.Analysis.Clicks;

namespace CaptureProc.Analysis.Program;

/// <summary>Makes a result of a spot's spectra: the delay, how far to trust it, and what to say.</summary>
public static class ProgramJudgement
{
    public const double Sure = 0.95;

    private const double Usable = 0.5;

    // Reflections within the window turn the phase alike in every stretch, by up to two tenths of a radian in simulated halls
    // (0.4 to 2.5 s); what that does to the delay depends on how high the music reaches.
    private const double ReflectionPhaseRad = 0.22;
    private const int FewestStretches = 4;

    public static SpotResult Judge(
        string id, LagPeak peak, double lagFrames, SpotSpectra spectra, int windowFrames, double sampleRateHz)
    {
        var stretches = spectra.Filled.ToList();
        if (stretches.Count < FewestStretches)
            return new SpotResult(id) { Note = "the spot is silent for most of the recording: give one in which it plays" };
        if (PhaseSlopeFit.Fit(spectra.Whole(), windowFrames, sampleRateHz, peak.Sign) is not { } whole)
            return new SpotResult(id) { Note = "the spot and the array have nothing in common at any one delay: give a recording in which it plays alone or louder, or clap" };

        // Leaving out one stretch after the other (the jackknife) shows how much the answer hangs on what was played when.
        var estimates = new List<double>();
        foreach (var stretch in stretches)
            if (PhaseSlopeFit.Fit(spectra.Without(stretch), windowFrames, sampleRateHz, peak.Sign) is { } rest)
                estimates.Add(rest.DelayFrames);
        var wander = Wander(estimates);
        var reflections = ReflectionPhaseRad / whole.EffectiveOmega;
        var sigma = Math.Sqrt(whole.Sigma * whole.Sigma + wander * wander + reflections * reflections);

        var confidence = Confidence(peak, sigma * 48000 / sampleRateHz);
        if (confidence < Usable)
        {
            return new SpotResult(id)
            {
                Note = string.Create(CultureInfo.InvariantCulture,
                    $"the music does not tell this delay surely enough (confidence {confidence:0.00}): give a longer recording in which the spot plays alone, or clap"),
            };
        }
        return new SpotResult(id)
        {
            DelaySamples = lagFrames + whole.DelayFrames,
            DelaySigma = sigma,
            Confidence = confidence,
            Polarity = confidence >= 0.9 ? peak.Sign : null,
            GainDb = whole.Gain != 0 ? 20 * Math.Log10(Math.Abs(whole.Gain)) : null,
            Note = confidence < Sure ? "uncertain: from the music alone; a clap at this spot would settle it" : null,
        };
    }

    private static double Wander(List<double> estimates)
    {
        var mean = estimates.Average();
        var square = estimates.Sum(e => (e - mean) * (e - mean));
        return Math.Sqrt((estimates.Count - 1.0) / estimates.Count * square);
    }

    // Two ways to be wrong: another lag (a reflection, another player) is nearly as good, or there is hardly a peak at all.
    private static double Confidence(LagPeak peak, double sigmaAt48k) =>
        0.995 * Logistic(12 * (peak.OverNext - 1.35)) * Logistic(1.2 * (peak.OverNoise - 7)) * Logistic(2 * (4 - sigmaAt48k));

    private static double Logistic(double x) => 1 / (1 + Math.Exp(-x));
}
