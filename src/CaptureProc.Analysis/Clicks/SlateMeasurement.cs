using CaptureProc.Session;

namespace CaptureProc.Analysis.Clicks;

/// <summary>Measures the spots of a recording of claps: one pass to find the claps, then a closer look at each.</summary>
/// <remarks>
/// Thread: [main]; uses as many threads as there are processors for the closer look. Memory: independent of the length.
/// </remarks>
public sealed class SlateMeasurement
{
    /// <summary>A time given by hand is taken to be right to within this.</summary>
    private const double HandSeconds = 0.3;

    /// <summary>A mark that was put at a spot's own clap is right to within this; a neighbour's clap is hardly ever so near in time.</summary>
    private const double MarkSeconds = 0.05;

    /// <summary>Recorded claps, snaps, boards and wood blocks have 0.3 and more at the spot that hears them first, even in a cellar; steady sounds about 0.13. Talk is told by its level.</summary>
    private const double LeastCompactness = 0.25;

    /// <summary>Ten minutes of noise reach 8 a few times; a clap that is worth mentioning although the array misses it has more.</summary>
    private const double LeastAboveBackground = 12;

    private readonly IFrameSource source;
    private readonly SlateInput input;

    public SlateMeasurement(IFrameSource source, SlateInput input) => (this.source, this.input) = (source, input);

    /// <param name="atSeconds">Where the clicks are; null = find them.</param>
    /// <param name="progress">Told how many frames have been searched.</param>
    public SlateResult Measure(IReadOnlyList<double>? atSeconds = null, Action<long>? progress = null) =>
        Measure(atSeconds?.Select(at => new ClapMark(at, null)).ToList(), progress);

    /// <param name="marks">Where the clicks are, and whose; null = find them.</param>
    /// <param name="progress">Told how many frames have been searched.</param>
    public SlateResult Measure(IReadOnlyList<ClapMark>? marks, Action<long>? progress)
    {
        var owned = new Dictionary<ClickEvent, int>();
        var scan = new SlateScan(source, input);
        var events = marks is null
            ? ClickEvents.MostProminent(scan.Find(0, source.FrameCount, progress))
            : [.. marks.Select(mark => Nearest(scan, mark, owned))];
        if (marks is null && !scan.IsArrayHeard)
            throw new UnusableInputException("silence",
                "the array's channels are silent throughout; check the channels in the session, or record again");
        var heard = Observe(events, click => owned.TryGetValue(click.Event, out var owner) && click.Onsets[owner] is not null ? [owner]
            : IsCompact(click) ? ClickOwnership.Candidates(click, WorkingRateHz) : [])
            .FindAll(click => owned.TryGetValue(click.Event, out var owner) ? click.Onsets[owner] is not null : IsClap(click));
        // A sound that a person has pointed to is meant, however soft.
        var clicks = marks is null ? ClapLevels.WithoutTalk(heard) : heard;
        var owners = ClickOwnership.Assign(clicks, input.Spots.Count, WorkingRateHz);
        for (var i = 0; i < clicks.Count; i++)
            if (owned.TryGetValue(clicks[i].Event, out var owner))
                owners[i] = owner;
        var oneForAll = owned.Count == 0 && input.Spots.Count > 1 && owners.Length > 0 && owners.Distinct().Count() == 1;
        if (oneForAll)
            clicks = Observe(clicks.ConvertAll(c => c.Event), click => click.SpotsByTime[..1], OneForAll.Measure);

        var problem = CapsuleCheck.FindProblem(clicks.Select(c => c.Capsules), input);
        var judgement = new SpotJudgement(input, clicks, owners, oneForAll, WorkingRateHz, problem);
        return new SlateResult(
            [.. clicks.Select((c, i) => new ClickResult(c.TimeSeconds, owners[i], Levels(c, owners[i])))],
            [.. Enumerable.Range(0, input.Spots.Count).Select(judgement.Judge)], oneForAll) { ArrayProblem = problem };
    }

    /// <summary>Words are sudden too, but they go on; a chance rise of the noise is short, but reaches nobody else.</summary>
    private static bool IsClap(ClickObservation click)
    {
        if (!IsCompact(click) || click.IsElectrical)
            return false;
        var first = click.SpotsByTime[0];
        var onset = click.Onsets[first]!.Value;
        var isHeardInArray = click.Arrivals[first] is { } arrival && ArrivalConfidence.Of(arrival) > 0.3;
        return isHeardInArray || onset.AboveBackground > LeastAboveBackground;
    }

    private static bool IsCompact(ClickObservation click) =>
        click.SpotsByTime is [var first, ..] && click.Onsets[first]!.Value.Compactness > LeastCompactness;

    private double WorkingRateHz => input.SampleRateHz / new Excerpts(input.SampleRateHz).Decimation;

    private static DirectLevels? Levels(ClickObservation click, int owner) =>
        (owner >= 0 ? click.Arrivals[owner] : click.Arrivals.FirstOrDefault(a => a is not null))?.Levels;

    private ClickEvent Nearest(SlateScan scan, ClapMark mark, Dictionary<ClickEvent, int> owned)
    {
        var at = (long)(mark.Seconds * input.SampleRateHz);
        var reach = (long)(HandSeconds * input.SampleRateHz);
        // The scanner has to hear what was before a sound, so a mark is searched as widely as a rough time, and what lies apart is left out.
        var found = scan.Find(Math.Max(0, at - reach), Math.Min(source.FrameCount, at + reach), null);
        if (mark.Spot is not null)
            found.RemoveAll(e => Math.Abs(e.Frame - at) > MarkSeconds * input.SampleRateHz);
        var click = found.Count == 0 ? new ClickEvent(at, -1, 0) : found.MaxBy(e => e.Prominence);
        if (mark.Spot is { } spot)
            owned.TryAdd(click, spot);
        return click;
    }

    private List<ClickObservation> Observe(
        List<ClickEvent> events, Func<ClickObservation, int[]> whom, Action<ClickReader, ClickExcerpt, ClickObservation>? further = null)
    {
        var observed = new ClickObservation[events.Count];
        Parallel.For(0, events.Count, () => new ClickReader(source, input), (i, _, reader) =>
        {
            observed[i] = Observe(reader, events[i], whom, further);
            return reader;
        }, _ => { });
        return [.. observed];
    }

    private ClickObservation Observe(ClickReader reader, ClickEvent at, Func<ClickObservation, int[]> whom,
        Action<ClickReader, ClickExcerpt, ClickObservation>? further)
    {
        var excerpt = reader.Read(at.Frame);
        SpotOnset?[] onsets = [.. excerpt.Spots.Select(s => s.Onset)];
        var click = new ClickObservation(at, at.Frame / input.SampleRateHz, onsets, new Arrival?[onsets.Length]);
        foreach (var spot in whom(click))
        {
            var onset = onsets[spot]!.Value.Sample;
            click.Arrivals[spot] = reader.Estimator.Estimate(
                excerpt.Array.Value, reader.Estimator.Prepare(excerpt.Spots[spot].Channel, onset), onset, excerpt.Spots[spot].Prior);
        }
        further?.Invoke(reader, excerpt, click);
        if (click.SpotsByTime is [var nearest, ..] && click.Arrivals[nearest] is { } heard)
            click = click with { Capsules = CapsuleCheck.Of(excerpt.Array.Value, onsets[nearest]!.Value.Sample + (int)heard.DelaySamples, WorkingRateHz) };
        if (click.SpotsByTime is [var first, ..])
            click = click with { TimeSeconds = (excerpt.FirstFrame + (double)onsets[first]!.Value.Sample * reader.Decimation) / input.SampleRateHz };
        return click;
    }
}
