using CaptureProc.Analysis.Clicks;

namespace CaptureProc.Analysis.Program;

/// <summary>Takes the delay of every spot from the music itself: long-term generalised cross-correlation of the spot with the array's W.</summary>
/// <remarks>
/// Thread: [main]. Memory: independent of the length, but for some spectra a spot.
/// Two passes. The first correlates long windows, so that a delay of a whole hall fits in, and finds the lag at which spot and
/// array have most in common that the other spots do not explain. The second reads the array that much later, so that both windows hold the same sound, and fits
/// the slope of the cross-spectrum's phase. Other players bleed into the spot and reflections follow the direct sound: both
/// leave the main lag alone, but widen it, so the uncertainty is taken from how much the answer wanders between stretches
/// of the recording, and never below the bound for the coherence that was found.
/// Source: Knapp and Carter, The Generalized Correlation Method for Estimation of Time Delay, IEEE Trans. ASSP 24(4), 1976 (from memory).
/// </remarks>
public sealed class ProgramMeasurement(IFrameSource source, SlateInput input)
{
    /// <summary>A spot is never farther from the array than this; 120 ms of air, and not much earlier than it.</summary>
    private const double LongestDelaySeconds = 0.12;

    /// <param name="progress">Told the share that is done, 0…1.</param>
    public IReadOnlyList<SpotResult> Measure(IProgress<double>? progress = null)
    {
        var coarse = new CrossSpectra(source, input, WindowFrames(4 * LongestDelaySeconds), new double[input.Spots.Count], isJoint: true);
        coarse.Accumulate(share => progress?.Report(0.5 * share));
        var lags = new double[input.Spots.Count];
        var partial = coarse.Joint.PartialCoherences();
        var peaks = new LagPeak[input.Spots.Count];
        for (var spot = 0; spot < lags.Length; spot++)
        {
            peaks[spot] = LagSearch.Find(partial[spot], coarse.WindowFrames, input.SampleRateHz, LongestDelaySeconds);
            lags[spot] = Math.Round(peaks[spot].LagFrames);
        }
        // 43 ms at 48 kHz: long against the reflections that follow within some milliseconds, short against the tail.
        var fine = new CrossSpectra(source, input, WindowFrames(0.04), lags);
        fine.Accumulate(share => progress?.Report(0.5 + 0.5 * share));
        return [.. input.Spots.Select((spot, i) => ProgramJudgement.Judge(spot.Id, peaks[i], lags[i], fine.Spot(i), fine.WindowFrames, input.SampleRateHz))];
    }

    private int WindowFrames(double seconds) =>
        (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)(seconds * input.SampleRateHz));
}
