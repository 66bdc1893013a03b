namespace CaptureProc.Analysis.Clicks;

/// <summary>Tells claps from the talking between them by how loud they are.</summary>
/// <remarks>
/// Thread: [any]. A word can begin as suddenly as a clap, and be gone as soon as far as a spot can tell in the middle of a sentence.
/// But hands are far louder than a voice, most of all at high frequencies, and one slate's claps are made alike. So the surest claps
/// set the measure at every spot, and a sound that stays far below it at all of them, both in peak and in what stands
/// out of the whitened background, is none. At a clap's own spot the measure is at most that clap: a soft clap at a spot of its
/// own is never lost, nor is one that a neighbour hears first.
/// Levels from simulated slates with talk up to 10 dB below the claps (peak): claps stood out by 32 dB and more, talk by 8 to 21.
/// </remarks>
public static class ClapLevels
{
    /// <summary>Claps that are meant alike differ less than this in what stands out (as a ratio of energies, 12 dB) …</summary>
    private const double LeastShareAbove = 0.063;

    /// <summary>… or in peak (6 dB).</summary>
    private const double LeastShareOfPeak = 0.5;

    /// <summary>The measure is taken from sounds that are over at once; whether a softer one rings does not matter.</summary>
    private const double LeastCompactness = 0.5;

    /// <summary>What reaches the array 40 dB below the loudest clap is no clap of the same slate, whatever else there is.</summary>
    private const double LeastShareAtArray = 0.01;

    /// <summary>Without the sounds that are too soft to be claps of this slate.</summary>
    public static List<ClickObservation> WithoutTalk(List<ClickObservation> clicks)
    {
        if (clicks.Count == 0)
            return clicks;
        var spots = clicks[0].Onsets.Count;
        var (above, peak) = (new double[spots], new double[spots]);
        foreach (var click in clicks.Where(IsSure))
            for (var spot = 0; spot < spots; spot++)
                if (click.Onsets[spot] is { } onset)
                    (above[spot], peak[spot]) = (Math.Max(above[spot], onset.AttackAboveBackground), Math.Max(peak[spot], onset.Peak));
        var loudest = clicks.Max(PeakAtArray);
        return clicks.FindAll(click => PeakAtArray(click) is var atArray && (atArray == 0 || atArray > LeastShareAtArray * loudest) && Enumerable.Range(0, spots).Any(spot => click.Onsets[spot] is { } onset
            && (onset.AttackAboveBackground > LeastShareAbove * above[spot] || onset.Peak > LeastShareOfPeak * peak[spot])));
    }

    /// <summary>Peak of the direct sound at the array; 0 where it was not heard there.</summary>
    private static double PeakAtArray(ClickObservation click) =>
        click.SpotsByTime is [var first, ..] && click.Arrivals[first] is { } arrival ? Math.Abs(arrival.Gain) * click.Onsets[first]!.Value.Peak : 0;

    private static bool IsSure(ClickObservation click) =>
        click.SpotsByTime is [var first, ..] && click.Arrivals[first] is { } arrival
        && click.Onsets[first]!.Value.Compactness > LeastCompactness && ArrivalConfidence.Of(arrival) >= SpotJudgement.Sure;
}
