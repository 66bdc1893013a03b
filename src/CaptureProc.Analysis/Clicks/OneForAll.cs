namespace CaptureProc.Analysis.Clicks;

/// <summary>Measures all spots with a clap that was made at one place.</summary>
/// <remarks>
/// Thread: as the reader. The spot that hears the clap first and best is measured against the array as usual; what is missing
/// for another spot is by how much that one hears the clap later, which the first spot's clean recording of it tells better
/// than the far spot's own, noisy and full of reflections, could.
/// </remarks>
public static class OneForAll
{
    public static void Measure(ClickReader reader, ClickExcerpt excerpt, ClickObservation click)
    {
        if (click.SpotsByTime is not [var nearest, ..] || click.Arrivals[nearest] is not { } near)
            return;
        var onset = click.Onsets[nearest]!.Value.Sample;
        var template = reader.Estimator.Prepare(excerpt.Spots[nearest].Channel, onset);
        for (var spot = 0; spot < click.Arrivals.Length; spot++)
        {
            if (spot == nearest)
                continue;
            var between = reader.Estimator.EstimateBetween(
                excerpt.Spots[spot].Channel.Samples, template, onset, excerpt.Spots[nearest].Prior, out var significance);
            if (between is not null)
                click.Arrivals[spot] = Combine(near, between, significance);
        }
    }

    private static Arrival Combine(Arrival near, ArrivalFit between, double significance)
    {
        var fit = near.Fit;
        var amplitudeShare = Share(fit) + Share(between);
        return near with
        {
            DelaySamples = near.DelaySamples - between.MeantDelay,
            Gain = near.Gain / between.MeantAmplitude,
            Significance = Math.Min(near.Significance, significance),
            Firstness = ArrivalConfidence.FirstnessOf(significance),
            Fit = fit with
            {
                MeantDelaySigma = Math.Sqrt(fit.MeantDelaySigma * fit.MeantDelaySigma + between.MeantDelaySigma * between.MeantDelaySigma),
                AmplitudeSigma = Math.Abs(fit.Amplitude) * Math.Sqrt(amplitudeShare),
                ReducedChiSquare = Math.Max(fit.ReducedChiSquare, between.ReducedChiSquare),
            },
        };
    }

    private static double Share(ArrivalFit fit) => fit.AmplitudeSigma * fit.AmplitudeSigma / (fit.Amplitude * fit.Amplitude);
}
