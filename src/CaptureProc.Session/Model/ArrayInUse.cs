namespace CaptureProc.Session;

/// <summary>A session as one of its arrays hears it, and back.</summary>
/// <remarks>
/// Delay, direction, distance and gain of a spot belong to the array against which they were measured. Whoever works with an array
/// takes the session through <see cref="HeardBy(SessionDocument, ArrayEntry)"/> and then finds in every spot what holds for that array,
/// or nothing; so nobody lines up with one array by the delays of another.
/// </remarks>
public static class ArrayInUse
{
    /// <summary>Whether this is the array whose delays stand in the spots themselves.</summary>
    public static bool IsMain(this SessionDocument session, ArrayEntry array) => SameId(session.MainArray().Id, array.Id);

    /// <summary>Spots and clicks as this array has them. For working with; to change a file use <see cref="WithHeardBy"/>.</summary>
    public static SessionDocument HeardBy(this SessionDocument session, ArrayEntry array) => session with
    {
        Spots = [.. session.Spots.Select(s => session.HeardBy(array, s))],
        Clicks = [.. session.Clicks.Where(c => session.IsOf(array, c))],
    };

    /// <summary>One spot as this array has it; without a delay where it was not measured against it.</summary>
    public static SpotEntry HeardBy(this SessionDocument session, ArrayEntry array, SpotEntry spot)
    {
        if (session.IsMain(array))
            return spot;
        if (spot.Delays?.FirstOrDefault(d => SameId(d.Array, array.Id)) is not { } heard)
            return spot with { Delay = null, Polarity = null, Direction = null, DistanceM = null, GainDb = null, Slate = null, Note = $"not measured against array '{array.Id}'" };
        return spot with
        {
            Delay = new SpotDelay
            {
                Samples = heard.Samples, Ms = heard.Ms, UncertaintySamples = heard.UncertaintySamples, Confidence = heard.Confidence, Source = heard.Source,
            },
            Clock = heard.Clock,
            Polarity = heard.Polarity,
            Direction = heard.Direction,
            DistanceM = heard.DistanceM,
            GainDb = heard.GainDb,
            Slate = heard.Slate,
            Note = heard.Note,
        };
    }

    /// <summary>The session with a spot's values against an array put where they belong; what belongs to the other arrays stays.</summary>
    /// <param name="session">The session.</param>
    /// <param name="array">The array.</param>
    /// <param name="spot">Of the session, changed as that array hears it.</param>
    public static SessionDocument WithHeardBy(this SessionDocument session, ArrayEntry array, SpotEntry spot) => session with
    {
        Spots = [.. session.Spots.Select(s => SameId(s.Id, spot.Id) ? session.Kept(array, s, spot) : s)],
    };

    /// <summary>The session with the clicks of a slate as an array heard them; those that other arrays heard stay.</summary>
    public static SessionDocument WithClicksOf(this SessionDocument session, ArrayEntry array, IEnumerable<ClickEntry> clicks) => session with
    {
        Clicks =
        [
            .. session.Clicks.Where(c => !session.IsOf(array, c)),
            .. clicks.Select(c => c with { Array = session.IsMain(array) ? null : array.Id }),
        ],
    };

    /// <summary>The arrays against which a spot was measured beside the main one.</summary>
    public static IEnumerable<ArrayEntry> OtherArraysHeard(this SessionDocument session) =>
        session.Arrays.Where(a => !session.IsMain(a) && session.Spots.Any(s => s.Delays?.Any(d => SameId(d.Array, a.Id)) == true));

    private static SpotEntry Kept(this SessionDocument session, ArrayEntry array, SpotEntry stored, SpotEntry heard)
    {
        if (session.IsMain(array))
            return heard with { Delays = stored.Delays };
        var former = stored.Delays?.FirstOrDefault(d => SameId(d.Array, array.Id));
        var others = (stored.Delays ?? []).Where(d => !SameId(d.Array, array.Id)).ToList();
        // Where nothing was ever measured there is no delay to keep a note beside.
        if (heard.Delay is not { } delay)
            return stored;
        others.Add(new ArrayDelay
        {
            Array = array.Id,
            Samples = delay.Samples,
            Ms = delay.Ms,
            UncertaintySamples = delay.UncertaintySamples,
            Confidence = delay.Confidence,
            Source = delay.Source,
            Clock = heard.Clock,
            Polarity = heard.Polarity,
            Direction = heard.Direction,
            DistanceM = heard.DistanceM,
            GainDb = heard.GainDb,
            Slate = heard.Slate,
            Note = heard.Note,
            Unknown = former?.Unknown,
        });
        return stored with { Delays = others };
    }

    private static bool IsOf(this SessionDocument session, ArrayEntry array, ClickEntry click) =>
        click.Array is { } id ? SameId(id, array.Id) : session.IsMain(array);

    private static bool SameId(string a, string b) => string.Equals(a, b, StringComparison.OrdinalIgnoreCase);
}
