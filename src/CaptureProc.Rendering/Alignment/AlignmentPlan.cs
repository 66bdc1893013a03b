using System.Globalization;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Alignment;

/// <summary>Who waits for whom: decided before a sample is read.</summary>
/// <remarks>
/// A spot that would have to be early cannot be: the take has no future before its beginning to take it from without a shift of
/// everything else. So the array is held back by whole frames until the earliest spot needs no negative delay, and every spot is
/// held back with it.
/// </remarks>
public sealed record AlignmentPlan
{
    // Below this a delay's own uncertainty does not cover it any more (contract: "a probability that can be trusted").
    private const double TrustedConfidence = 0.95;

    /// <summary>Frames by which the array, and all with it, comes later than in the take.</summary>
    public int HeldBackFrames { get; init; }

    public required int SampleRateHz { get; init; }

    public double HeldBackMs => 1000.0 * HeldBackFrames / SampleRateHz;

    public required IReadOnlyList<AlignedSpot> Spots { get; init; }

    /// <summary>What is missing or uncertain, spot by spot.</summary>
    public required IReadOnlyList<Finding> Findings { get; init; }

    /// <summary>The plan for the array that the settings name, by the delays that were measured against it.</summary>
    public static AlignmentPlan Make(SessionDocument session, AlignmentSettings settings)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(settings);
        var inUse = session.FindArray(settings.Field.ArrayId);
        var measure = session.IsMain(inUse) ? "'measure'" : $"'measure --array {inUse.Id}'";
        session = session.HeardBy(inUse);
        var laterSamples = settings.LaterMs / 1000 * session.SampleRate;
        var earliest = session.Spots.Where(s => s.Delay is not null).Select(s => s.Delay!.Samples + laterSamples).DefaultIfEmpty(0).Min();
        var heldBack = (int)Math.Ceiling(Math.Max(0, -earliest));

        var findings = new List<Finding>();
        var spots = new List<AlignedSpot>();
        foreach (var spot in session.Spots)
        {
            var array = session.ArrayOf(spot, out var isAssumed);
            var delaySamples = spot.Delay is { } delay ? delay.Samples + laterSamples : 0;
            var clock = spot.Clock is { } own ? new ClockCourse(own.DriftPpm, own.AtSeconds * session.SampleRate + heldBack + laterSamples) : null;
            spots.Add(new AlignedSpot(spot, array, heldBack + delaySamples, spot.Polarity ?? 1) { Clock = clock });
            findings.AddRange(FindProblems(spot, isAssumed, measure));
        }
        return new AlignmentPlan { HeldBackFrames = heldBack, SampleRateHz = session.SampleRate, Spots = spots, Findings = findings };
    }

    private static IEnumerable<Finding> FindProblems(SpotEntry spot, bool isAssumed, string measure)
    {
        if (isAssumed)
            yield return new Finding("assumed-geometry",
                $"spot '{spot.Id}' has four channels and no array of its own in the session; it is taken to be built like the main array and upright: give it one with 'start --array ID=CHANNELS'");
        if (spot.Delay is not { } delay)
        {
            yield return new Finding("no-delay",
                $"spot '{spot.Id}' has no delay{(spot.Note is { } note ? $" ({note})" : "")}; it is not aligned: run {measure}, with --program on the music itself");
            yield break;
        }
        if (delay.Confidence < TrustedConfidence)
            yield return new Finding("uncertain-delay", string.Create(CultureInfo.InvariantCulture,
                $"spot '{spot.Id}' is aligned by a delay that carries a confidence of {delay.Confidence:0.00} only; check it by ear, or record a better slate"));
        if (spot.Polarity is null)
            yield return new Finding("unsure-polarity", $"spot '{spot.Id}' is left as recorded, because its polarity is not sure; check it by ear");
    }
}
