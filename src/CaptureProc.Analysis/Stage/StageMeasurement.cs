using System.Globalization;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>What is known of a stage before its slate is measured.</summary>
public sealed record StageKnowledge
{
    /// <summary>Taped distances from the main array.</summary>
    public IReadOnlyList<TapedDistance> Taped { get; init; } = [];

    /// <summary>Microphones of an earlier slate of the session, by spot.</summary>
    public IReadOnlyDictionary<string, StagePlace> Spots { get; init; } = new Dictionary<string, StagePlace>();

    /// <summary>Where players clapped in it, by spot.</summary>
    public IReadOnlyDictionary<string, StagePlace> Players { get; init; } = new Dictionary<string, StagePlace>();
}

/// <summary>A slate with its stage.</summary>
/// <param name="Spots">The slate's results as the stage has them: confidences judged, forgotten claps filled in.</param>
/// <param name="Concerns">What does not close, in words.</param>
public sealed record StagedSlate(
    StageInput Input, StageNames Names, IReadOnlyList<HeardClap> Claps, StageResult Stage, IReadOnlyList<SpotResult> Spots,
    IReadOnlyList<Bleed> Bleed, IReadOnlyList<string> Concerns);

/// <summary>From a measured slate to the stage it was made on, and back to a better slate.</summary>
/// <remarks>Thread: [main]; as <see cref="StageHearing"/>.</remarks>
public sealed class StageMeasurement(IFrameSource source, SlateInput input, string mainArray, IReadOnlyList<FurtherArray> further)
{
    /// <summary>What a delay that comes from places is called in the session.</summary>
    public const string Source = "stage";

    /// <summary>Claps that a spot has to have heard of others for its place to be used.</summary>
    public const int LeastOthers = 4;

    /// <summary>Null where the slate tells no stage: no clap that the array heard.</summary>
    public StagedSlate? Measure(SlateResult slate, StageKnowledge knowledge)
    {
        var claps = new StageHearing(source, input, further).Listen(slate.Clicks);
        var names = new StageNames([mainArray, .. further.Select(a => a.Id)], [.. input.Spots.Select(s => s.Id)]);
        var stageInput = new StageInput(1 + further.Count, input.Spots.Count, [.. claps.Select(c => c.Heard)], input.SpeedOfSoundMps)
        {
            Taped = knowledge.Taped,
            // One clap tells no places: those of before hold the spots, and the clap is found among them.
            Known = !slate.IsOneForAll ? [] : [.. Enumerable.Range(0, input.Spots.Count).Where(s => knowledge.Spots.ContainsKey(names.Spots[s])).Select(s => new KnownPlace(s, knowledge.Spots[names.Spots[s]]))],
        };
        if (slate.IsOneForAll && stageInput.Known.Count < LeastOthers)
            return null;
        if (StageSolver.Solve(stageInput) is not { } stage)
            return null;
        var found = new StagedSlate(stageInput, names, claps, stage, [], Stage.Bleed.Of(stageInput, claps, stage),
            new StageConcerns(names, claps, stage).Say(slate.IsOneForAll ? new Dictionary<string, StagePlace>() : knowledge.Spots));
        return found with { Spots = [.. Enumerable.Range(0, slate.Spots.Count).Select(s => slate.IsOneForAll ? AtItsPlayer(found, slate.Spots[s], s, knowledge) : Judged(found, slate.Spots[s], s))] };
    }

    private SpotResult Judged(StagedSlate found, SpotResult spot, int index)
    {
        int[] own = [.. Enumerable.Range(0, found.Claps.Count).Where(c => found.Claps[c].Owner == index)];
        if (own.Length == 0)
            return spot.DelaySamples is null ? Forgotten(found, spot, index) : spot;
        if (spot.DelaySamples is null)
            return spot;
        // A clap that was made elsewhere says nothing about this spot, however well it closes.
        if (own.All(c => found.Stage.Strayed.Contains(c) && found.Stage.Times.Count(t => t.Clap == c && t.IsUsed) >= StageCheck.Enough))
            return spot with { Confidence = Math.Min(spot.Confidence, 0.5), Note = Joined(spot.Note, "its clap was made elsewhere: see what the stage says") };
        var checks = own.Where(c => found.Claps[c].Nearest == index).Select(c => (Clap: c, Check: StageCheck.Of(found.Stage, c, found.Input.ArrayCount, index))).ToList();
        if (checks.Count == 0)
            return spot;
        var best = checks.MinBy(c => c.Check.SigmaSeconds);
        return checks.TrueForAll(c => c.Check.Contradicts) ? FromOthers(found, spot, best.Clap, best.Check) : spot with { Confidence = best.Check.Judge(spot.Confidence) };
    }

    /// <summary>All that heard the clap agree where it was made, and the array does not: its way is known without its ears.</summary>
    private SpotResult FromOthers(StagedSlate found, SpotResult spot, int clap, StageCheck check)
    {
        var place = found.Stage.Claps[clap];
        return spot with
        {
            DelaySamples = spot.DelaySamples - check.LateSeconds * input.SampleRateHz,
            DelaySigma = Math.Max(spot.DelaySigma, check.SigmaSeconds * input.SampleRateHz),
            Confidence = 0.9,
            Polarity = null,
            Direction = place.PositionM.Normalised(),
            DirectionSigmaDeg = Math.Atan2(place.FloorSigmaM, place.PositionM.Length) * 180 / Math.PI,
            DistanceM = place.PositionM.Length,
            GainDb = null,
            Source = Source,
            Note = Joined(spot.Note, Say($"the array hears this clap {1000 * check.LateSeconds:+0.0;-0.0} ms off what {check.Witnesses} others say, a reflection as a rule; the delay is from the places of all who heard it: clap again, nearer to the array")),
        };
    }

    private SpotResult Forgotten(StagedSlate found, SpotResult spot, int index)
    {
        var place = found.Stage.Spots[index];
        var others = OthersHeard(found, index);
        if (others < LeastOthers || !place.IsKnown)
            return spot;
        var (seconds, sigma) = HalfMetre.DelayOf(place, found.Stage.Speed.Mps);
        return FromPlace(spot, place, seconds, sigma) with
        {
            Note = Say($"nobody clapped here; it heard {others} claps of others, and the delay is from its place, for a player half a metre from it on an unknown side: clap once right at it for a better one"),
        };
    }

    /// <summary>One clap was measured for all; the places are known, so each spot can have the delay of its own player.</summary>
    private SpotResult AtItsPlayer(StagedSlate found, SpotResult spot, int index, StageKnowledge knowledge)
    {
        if (spot.DelaySamples is null || !knowledge.Spots.TryGetValue(spot.Id, out var place) || found.Claps.Count == 0)
            return spot;
        var clap = found.Stage.Claps[0];
        if (!clap.IsKnown)
            return spot;
        var speed = found.Stage.Speed.Mps;
        var measuredFor = clap.PositionM.Length - (clap.PositionM - place.PositionM).Length;
        // The error of a difference of ways is that of the places along the difference of two directions: twice at the worst.
        var own = clap.FloorSigmaM + place.FloorSigmaM;
        var (seconds, sigma) = HalfMetre.DelayOf(place, speed);
        var isPlayerKnown = knowledge.Players.TryGetValue(spot.Id, out var player) && player.IsKnown;
        if (isPlayerKnown)
            (seconds, sigma) = ((player!.PositionM.Length - (player.PositionM - place.PositionM).Length) / speed, player.FloorSigmaM / speed);
        var change = (seconds - measuredFor / speed) * input.SampleRateHz;
        return spot with
        {
            DelaySamples = spot.DelaySamples + change,
            DelaySigma = Math.Sqrt(spot.DelaySigma * spot.DelaySigma + Math.Pow(input.SampleRateHz * own / speed, 2) + Math.Pow(input.SampleRateHz * sigma, 2)),
            Direction = (isPlayerKnown ? player! : place).PositionM.Normalised(),
            DirectionSigmaDeg = isPlayerKnown ? Math.Atan2(player!.FloorSigmaM, player.PositionM.Length) * 180 / Math.PI : HalfMetre.DirectionSigmaDeg(place),
            DistanceM = (isPlayerKnown ? player! : place).PositionM.Length,
            Source = Source,
            Note = Say($"measured with one clap for all and corrected by {1000 * change / input.SampleRateHz:+0.0;-0.0} ms to its own player, whose place an earlier slate has told"),
        };
    }

    private SpotResult FromPlace(SpotResult spot, StagePlace place, double seconds, double sigma) => spot with
    {
        DelaySamples = seconds * input.SampleRateHz,
        DelaySigma = sigma * input.SampleRateHz,
        Confidence = 0.95,
        Polarity = null,
        Direction = place.PositionM.Normalised(),
        DirectionSigmaDeg = HalfMetre.DirectionSigmaDeg(place),
        DistanceM = place.PositionM.Length,
        GainDb = null,
        Source = Source,
    };

    /// <summary>Claps of others whose times at a spot count.</summary>
    internal static int OthersHeard(StagedSlate found, int spot) =>
        found.Stage.Times.Count(t => t.IsUsed && t.Microphone == found.Input.MicrophoneOf(spot) && found.Claps[t.Clap].Owner != spot);

    private static string Joined(string? first, string second) => first is null ? second : $"{first}; {second}";

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
