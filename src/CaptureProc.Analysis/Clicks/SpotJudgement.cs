using System.Globalization;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Makes one result a spot out of all clicks that were made at it, in words where numbers will not do.</summary>
/// <remarks>Thread: [any].</remarks>
public sealed class SpotJudgement
{
    /// <summary>Below this, a delay is given, but with a warning.</summary>
    public const double Sure = 0.95;

    /// <summary>Below this a delay is worse than none: it would be used.</summary>
    private const double Usable = 0.5;

    /// <summary>An array of which one capsule is dead or inverted has its W somewhere else: nothing that is measured with it is sure.</summary>
    private const double MostWithFaultyArray = 0.85;

    /// <summary>How far a spot is taken to stand from its source: 0.3 to 0.9 m is where spots stand.</summary>
    public const double AssumedSpotDistanceM = 0.5;

    public const double AssumedSpotDistanceSigmaM = 0.2;

    /// <summary>No capsule's axis is known better than this, however quiet the hall.</summary>
    private const double LeastDirectionSigmaDeg = 0.3;

    private readonly SlateInput input;
    private readonly IReadOnlyList<ClickObservation> clicks;
    private readonly int[] owners;
    private readonly bool oneForAll;
    private readonly double workingRateHz;
    private readonly string? arrayProblem;

    public SpotJudgement(
        SlateInput input, IReadOnlyList<ClickObservation> clicks, int[] owners, bool oneForAll, double workingRateHz, string? arrayProblem) =>
        (this.input, this.clicks, this.owners, this.oneForAll, this.workingRateHz, this.arrayProblem) =
        (input, clicks, owners, oneForAll, workingRateHz, arrayProblem);

    public SpotResult Judge(int spot)
    {
        var id = input.Spots[spot].Id;
        int[] own = [.. Enumerable.Range(0, clicks.Count).Where(i => oneForAll || owners[i] == spot)];
        var arrivals = new List<WeighedArrival>();
        foreach (var i in own)
            if (clicks[i].Arrivals[spot] is { } arrival)
                arrivals.Add(new WeighedArrival(arrival, ArrivalConfidence.Of(arrival)) { Loudness = Loudness(own, i, spot) });
        arrivals.RemoveAll(a => a.Confidence < 0.02);
        if (arrivals.Count == 0)
            return new SpotResult(id) { Note = WhyNothing(spot, own) };

        var group = ArrivalGroup.Best(arrivals, workingRateHz / input.SpeedOfSoundMps).AtMost(arrayProblem is null ? 1 : MostWithFaultyArray);
        if (group.Confidence < Usable)
            return new SpotResult(id) { Note = Say($"a clap is heard here, but its arrival at the array is too uncertain to use (confidence {group.Confidence:0.00}); clap again, louder or nearer to the array, in silence") };
        return Report(spot, group);
    }

    private SpotResult Report(int spot, ArrivalGroup group)
    {
        var samplesPerWorking = input.SampleRateHz / workingRateHz;
        var floorRad = LeastDirectionSigmaDeg * Math.PI / 180;
        var directionSigma = Math.Sqrt(group.DirectionSigmaRad * group.DirectionSigmaRad + floorRad * floorRad);
        return new SpotResult(input.Spots[spot].Id)
        {
            DelaySamples = group.DelaySamples * samplesPerWorking,
            DelaySigma = group.DelaySigma * samplesPerWorking,
            Confidence = group.Confidence,
            Polarity = group.Confidence >= 0.9 ? group.Polarity : null,
            Direction = oneForAll ? null : group.Direction,
            DirectionSigmaDeg = directionSigma * 180 / Math.PI,
            DistanceM = oneForAll ? null : Math.Max(0.1, group.DelaySamples / workingRateHz * input.SpeedOfSoundMps + AssumedSpotDistanceM),
            GainDb = group.GainDb,
            ClickCount = group.Members.Count,
            Note = NoteOn(spot, group),
        };
    }

    /// <summary>A click's power over that of the loudest that were made at the same spot.</summary>
    private double Loudness(int[] own, int click, int spot)
    {
        var judge = (int i) => clicks[i].Onsets[oneForAll ? clicks[i].SpotsByTime[0] : spot]?.Peak ?? 0;
        var share = judge(click) / own.Max(judge);
        return share * share;
    }

    private string? NoteOn(int spot, ArrivalGroup group)
    {
        var notes = new List<string>();
        if (group.Confidence < Sure)
            notes.Add("uncertain: clap again at this spot, louder and in silence");
        if (group.Polarity is null)
            notes.Add("claps disagree on the polarity: check it by ear");
        if (group.ContradictedBy > 0)
            notes.Add($"{group.ContradictedBy} of {group.ContradictedBy + group.Members.Count} claps at this spot came from elsewhere and were left out");
        if (arrayProblem is not null)
            notes.Add(arrayProblem);
        if (group.Members.Any(m => m.Arrival.ClippedShare > 0))
            notes.Add("the clap is clipped here: less gain gives a surer result");
        if (oneForAll)
            notes.Add(CostOfOneForAll(spot));
        return notes.Count == 0 ? null : string.Join("; ", notes);
    }

    /// <summary>What it costs to measure a spot with a clap made elsewhere.</summary>
    /// <remarks>
    /// With clap C, spot P, array A the delay is (|CA| − |CP|)/c, while a source at P needs |PA|/c. By the triangle inequality
    /// the difference lies between 0 and 2·|CP|/c.
    /// </remarks>
    private string CostOfOneForAll(int spot)
    {
        var (wayM, count) = (0.0, 0);
        foreach (var click in clicks)
            if (click.Arrivals[spot] is { } here && click.Arrivals[click.SpotsByTime[0]] is { } near)
            {
                var laterSeconds = (near.DelaySamples - here.DelaySamples) / workingRateHz;
                (wayM, count) = (wayM + AssumedSpotDistanceM + laterSeconds * input.SpeedOfSoundMps, count + 1);
            }
        wayM /= Math.Max(1, count);
        var costMs = 2000 * wayM / input.SpeedOfSoundMps;
        return Say($"measured with one clap for all, about {wayM:0.0} m from here: right for a source at the clap; a source at this spot needs up to {costMs:0.0} ms more, and its direction is not known");
    }

    private string WhyNothing(int spot, int[] own)
    {
        if (own.Length > 0)
            return "a clap is heard here, but not well enough in the array to be measured; clap again, louder or nearer to the array, in silence";
        if (clicks.Count == 0)
            return "no clap was found in the recording; clap once at every spot, or say where with --at";
        return clicks.Any(c => c.Onsets[spot] is not null)
            ? "no clap of its own was found: this spot hears only claps made elsewhere; clap once right at it"
            : "no clap is heard in this channel: check that it is plugged in and recorded, then clap once right at it";
    }

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
