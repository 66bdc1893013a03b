using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>Tries other places for single claps and microphones, and keeps what explains more.</summary>
/// <remarks>
/// A descent ends in the valley where it began. Three beginnings are known to be wrong at times: a spot's height, because claps and
/// array all lie near one level and what is above it looks like what is below; a clap of which the array heard a reflection, which
/// begins at the reflection; a microphone whose distances met at two places.
/// </remarks>
internal sealed class SecondThoughts(StageFit fit, StageLoss loss, double scale)
{
    private const double Strained = 3;

    /// <summary>A change has to explain this much more: less is chance.</summary>
    private const double LeastGain = 0.5;

    public void Reconsider()
    {
        for (var pass = 0; pass < 2; pass++)
        {
            var before = loss.Sum(scale);
            for (var clap = 0; clap < fit.Input.Claps.Count; clap++)
                if (loss.IsStrained(e => e.Clap == clap, Strained))
                    Try(StageStart.WithClapBySpots(fit.Input, fit.State, clap));
            for (var microphone = 1; microphone < fit.Input.MicrophoneCount; microphone++)
            {
                if (fit.Input.Known.Any(k => fit.Input.MicrophoneOf(k.Spot) == microphone))
                    continue;
                if (microphone < fit.Input.ArrayCount)
                    foreach (var height in (ReadOnlySpan<double>)[1, 2.2, 3.4])
                        Try(StageStart.WithMicrophone(fit.Input, fit.State, microphone, height));
                else if (loss.IsStrained(e => e.Microphone == microphone, Strained))
                    Try(StageStart.WithMicrophone(fit.Input, fit.State, microphone, StagePriors.SpotM));
                if (microphone >= fit.Input.ArrayCount)
                    Try(Mirrored(fit.Input, fit.State, microphone));
            }
            if (before - loss.Sum(scale) < LeastGain)
                return;
        }
    }

    /// <summary>The state with one spot as far below the clap nearest to it as it is above.</summary>
    public static StageState Mirrored(StageInput input, StageState state, int microphone)
    {
        var moved = state.Moved([]);
        var at = state.MicrophoneAt(microphone);
        var place = state.Place(at);
        if (Enumerable.Range(0, input.Claps.Count).Select(state.Clap).OrderBy(c => (c - place).Length).FirstOrDefault() is var nearest)
        {
            var above = place.Z - nearest.Z;
            moved.Values[at + 2] = nearest.Z - (Math.Abs(above) < 0.15 ? Math.CopySign(0.3, above) : above);
        }
        return moved;
    }

    private void Try(StageState candidate)
    {
        var (before, sum) = (fit.State, loss.Sum(scale));
        double[] weights = [.. fit.Equations.All.Select(e => e.Weight)];
        fit.State = candidate;
        fit.Equations.Linearise(candidate);
        loss.Settle(4 * scale, 1);
        loss.Settle(scale, 2);
        if (loss.Sum(scale) < sum - LeastGain)
            return;
        fit.State = before;
        fit.Equations.Linearise(before);
        for (var i = 0; i < weights.Length; i++)
            fit.Equations.All[i].Weight = weights[i];
    }
}
