using CaptureProc.Report.Page;
using CaptureProc.Session;

namespace CaptureProc.Report.Readings;

/// <summary>Reads a session the way a careful colleague would: what is missing, what is loose, what follows.</summary>
internal static class Concerns
{
    /// <summary>The contract of the session file: from here on a delay can be trusted to three times its uncertainty.</summary>
    public const double TrustedConfidence = 0.95;

    // A quarter of a sample at 48 kHz turns two equal signals by 90° at the Nyquist frequency: the top octave begins to comb.
    private const double LooseMicroseconds = 0.25 / 48_000 * 1e6;

    // An ear tells sources ahead about this far apart when they play together (common practice, no source).
    private const double LooseDirectionDeg = 5;

    private const double PoorSnrDb = 20;

    public static IReadOnlyList<Concern> Of(SessionDocument session)
    {
        var concerns = new List<Concern>();
        foreach (var spot in session.Spots)
            AddSpot(concerns, session, spot);
        AddClicks(concerns, session);
        foreach (var array in session.Arrays)
            AddArray(concerns, array);
        return [.. concerns.OrderBy(c => c.Weight)];
    }

    private static void AddSpot(List<Concern> concerns, SessionDocument session, SpotEntry spot)
    {
        if (spot.Delay is not { } delay)
        {
            concerns.Add(new Concern(Weight.Act, spot.Id,
                spot.Note ?? "Its delay has not been measured.",
                "Clap once within arm's reach of this spot, with two seconds of silence before and after, and measure again; until then align it by tape measure and ear."));
            return;
        }
        if (delay.Confidence < TrustedConfidence)
            concerns.Add(new Concern(Weight.Act, spot.Id,
                $"The delay of {Figures.Number(delay.Ms, 3)} ms carries a confidence of {Figures.Number(Math.Floor(100 * delay.Confidence) / 100, 2)} only.",
                "Check it by ear against the array, or repeat the clap with less going on around it."));
        else if (delay.UncertaintySamples / session.SampleRate * 1e6 > LooseMicroseconds)
            concerns.Add(new Concern(Weight.Mind, spot.Id,
                $"The delay is known to ±{Figures.Number(delay.UncertaintySamples / session.SampleRate * 1e6, 1)} µs, which leaves the top octave open.",
                "Good enough to sit in the mix; for a spot at equal level with the array, repeat the clap."));
        if (spot.Note is { } note && note.Contains("clipped", StringComparison.OrdinalIgnoreCase))
            concerns.Add(new Concern(Weight.Act, spot.Id, $"Its clap was too loud for its channel: {note}.",
                "Turn its gain down before anything is recorded that is as loud, and clap again."));
        else if (spot.Note is { } remark)
            concerns.Add(new Concern(Weight.Mind, spot.Id, $"The measurement says: {remark}.", "Keep it in mind when the spot is mixed; a better clap would settle it."));
        if (delay.Samples < 0)
            concerns.Add(new Concern(Weight.Mind, spot.Id,
                $"The spot hears its source {Figures.Number(-delay.Ms, 2)} ms after the array and cannot wait for it.",
                "'align' holds the array and everything else back by as much; keep the picture in step."));
        if (spot.Clock is { } clock)
            concerns.Add(new Concern(Weight.Mind, spot.Id,
                $"It was recorded without a common clock, which runs {Figures.Signed(clock.DriftPpm, 3)} ± {Figures.Number(clock.UncertaintyPpm, 3)} ppm against the array's.",
                "'align' and 'mix' follow it; a plug-in on the raw track cannot, so use the aligned file in the mix."));
        if (spot.Polarity is null)
            concerns.Add(new Concern(Weight.Act, spot.Id, "Its polarity is not known.",
                "Sum it with the array at equal level and keep the setting with more low end."));
        else if (spot.Polarity < 0)
            concerns.Add(new Concern(Weight.Mind, spot.Id, "It is wired or patched inverted.",
                "'align' turns it round; by hand, press the polarity switch on this channel alone."));
        if (spot.Direction is { UncertaintyDeg: > LooseDirectionDeg } direction)
            concerns.Add(new Concern(Weight.Mind, spot.Id,
                $"Its direction is known to ±{Figures.Number(direction.UncertaintyDeg, 0)}° only.",
                "Place it by ear, or from the plan of the stage."));
    }

    private static void AddClicks(List<Concern> concerns, SessionDocument session)
    {
        foreach (var click in session.Clicks.Where(c => c.SnrDb < PoorSnrDb))
            concerns.Add(new Concern(Weight.Mind, click.Spot ?? "slate",
                $"The clap at {Figures.Number(click.TimeSeconds, 2)} s stands {Figures.Number(click.SnrDb, 0)} dB above the noise only.",
                "A harder clap, or a quieter hall, would sharpen its delay and direction."));
        if (session.Clicks.Count > 0 && session.Clicks.All(c => c.Spot is null))
            concerns.Add(new Concern(Weight.Mind, "slate",
                "One clap stood for all spots.",
                "Sources elsewhere reach spot and array over other paths: each spot is right for the place of the clap alone. Clap once at every spot next time."));
    }

    private static void AddArray(List<Concern> concerns, ArrayEntry array)
    {
        if (array.TrimSets.Count == 0)
            concerns.Add(new Concern(Weight.Act, array.Id,
                "The gains of its four channels have not been lined up.",
                "Record pink noise through all four before the microphone is patched, and run 'level'; a mismatch of 0.5 dB bends the whole image."));
        else if (array.ActiveTrim is null)
            concerns.Add(new Concern(Weight.Act, array.Id,
                "Trims have been measured, but none is in use.", "Convert with --trim, or name one in the session."));
        if (array.Patch is { Ok: false } check)
            concerns.Add(new Concern(Weight.Act, array.Id,
                $"The check of its patch found: {(check.Problems.Count > 0 ? string.Join("; ", check.Problems) : "it is not sure of order and polarity")}.",
                "Swap the cables, or the order in the session, before anything is converted; then check again."));
        else if (array.Patch is null)
            concerns.Add(new Concern(Weight.Act, array.Id,
                "Order and polarity of its capsules have not been checked.",
                "Tap the capsules in turn and run 'patch': a swapped pair mirrors the image and nothing else tells."));
        else if (array.Patch.Order is null)
            concerns.Add(new Concern(Weight.Act, array.Id,
                "Its polarity has been checked, the order of its capsules has not.",
                "Tap the capsules in turn and run 'patch' again: ambience does not tell which capsule is on which channel."));
    }
}
