using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.RoomDecay;
using CaptureProc.Dsp.Design;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Measuring;

/// <summary>From a session to what the measurement asks for, and back.</summary>
/// <remarks>Thread: [any].</remarks>
public static class SessionSlate
{
    /// <summary>The arrays and channels of a session in the analysis' own terms.</summary>
    /// <param name="session">The session.</param>
    /// <param name="arrayId">The array to line up with; null = the main array.</param>
    /// <param name="trim">A trim set; null = the active one.</param>
    /// <param name="warnings">Takes what the user should know.</param>
    public static SlateInput Describe(SessionDocument session, string? arrayId, string? trim, List<string> warnings)
    {
        var array = session.FindArray(arrayId);
        var capsules = array.ToCapsuleArray();
        if (ArrayResolution.FindProblem(capsules) is { } problem)
            throw new UnusableInputException("array-unusable", $"array '{array.Id}': {problem}");
        if (session.Spots.Count == 0)
            throw new UnusableInputException("no-spots", "the session holds no spots, so there is nothing to measure; name them with 'captureproc start --spot'");
        return new SlateInput(session.SampleRate, session.Air.SpeedOfSound, capsules, Channels(array.Channels, array.TrimDb(trim)),
            [.. session.Spots.Select(spot => Describe(session, spot, warnings))]);
    }

    private static SpotInput Describe(SessionDocument session, SpotEntry spot, List<string> warnings)
    {
        if (session.ArrayOf(spot, out var isAssumed) is not { } array)
            return new SpotInput(spot.Id, Channels(spot.Channels, new double[spot.Channels.Count]), null);
        if (isAssumed)
            warnings.Add($"spot '{spot.Id}' has four channels and no geometry of its own; it is taken to be built like the main array, upright");
        var capsules = array.ToCapsuleArray();
        if (ArrayResolution.FindProblem(capsules) is { } problem)
            throw new UnusableInputException("array-unusable", $"spot '{spot.Id}': {problem}");
        return new SpotInput(spot.Id, Channels(array.Channels, array.TrimDb()), capsules);
    }

    private static ChannelSet Channels(IReadOnlyList<int> fromOne, IReadOnlyList<double> trimDb) =>
        new([.. fromOne.Select(c => c - 1)], [.. trimDb.Select(db => Math.Pow(10, db / 20))]);

    /// <summary>The session with what was measured in it.</summary>
    /// <remarks>
    /// A spot about which this recording says nothing keeps what was measured before, and a note says so; the others are
    /// replaced whole, so that no part of an older measurement stays beside a part of this one.
    /// </remarks>
    /// <param name="session">The session as it is now.</param>
    /// <param name="array">The array that was measured against: what is known against others stays.</param>
    /// <param name="results">One a spot, by id.</param>
    /// <param name="clicks">Null = leave the session's list.</param>
    /// <param name="source">What was measured with: click, shared click, program.</param>
    public static SessionDocument Enter(
        SessionDocument session, ArrayEntry array, IReadOnlyList<SpotResult> results, IReadOnlyList<ClickEntry>? clicks, string source)
    {
        foreach (var result in results)
            if (session.Spots.FirstOrDefault(s => s.Id == result.Id) is { } spot)
                session = session.WithHeardBy(array, Enter(session, session.HeardBy(array, spot), result, source));
        return clicks is null ? session : session.WithClicksOf(array, clicks);
    }

    private static SpotEntry Enter(SessionDocument session, SpotEntry spot, SpotResult result, string source)
    {
        if (result.DelaySamples is not { } samples)
            return spot.Delay is null
                ? spot with { Note = result.Note }
                : spot with { Note = $"kept from an earlier recording; in the last one: {result.Note}" };
        var direction = result.Direction is { } vector ? Dsp.Geometry.Direction.Of(vector) : default;
        return spot with
        {
            Delay = new SpotDelay
            {
                Samples = Math.Round(samples, 4),
                Ms = Math.Round(1000 * samples / session.SampleRate, 6),
                UncertaintySamples = Math.Round(result.DelaySigma, 4),
                Confidence = Math.Round(result.Confidence, 3),
                Source = result.Source ?? source,
            },
            Polarity = result.Polarity,
            Direction = result.Direction is null ? null : new SpotDirection
            {
                AzimuthDeg = Math.Round(direction.AzimuthDeg, 2),
                ElevationDeg = Math.Round(direction.ElevationDeg, 2),
                UncertaintyDeg = Math.Round(result.DirectionSigmaDeg, 2),
            },
            DistanceM = result.DistanceM is { } distance ? Math.Round(distance, 2) : null,
            // Music tells no level; a gain that claps have told stays.
            GainDb = result.GainDb is { } gain ? Math.Round(gain, 2) : spot.GainDb,
            Note = result.Note,
        };
    }

    /// <summary>The room as the session keeps it; null where the slate tells nothing.</summary>
    public static RoomEntry? ToEntry(RoomDecayResult? room) => room is null ? null : new RoomEntry
    {
        ReverberationSeconds = Rounded(room.ReverberationSeconds, 3),
        UncertaintySeconds = Rounded(room.UncertaintySeconds, 3),
        EdtSeconds = Rounded(room.EdtSeconds, 3),
        C80Db = Rounded(room.C80Db, 2),
        Claps = room.ClickCount,
        Bands =
        [
            .. room.Bands.Select(b => new RoomBand
            {
                FrequencyHz = b.NominalHz,
                EdtSeconds = Rounded(b.EdtSeconds, 3),
                T20Seconds = Rounded(b.T20Seconds, 3),
                T30Seconds = Rounded(b.T30Seconds, 3),
                C80Db = Rounded(b.C80Db, 2),
            }),
        ],
    };

    private static double? Rounded(double? value, int digits) => value is { } number ? Math.Round(number, digits) : null;

    /// <summary>The clicks of a slate as the session lists them.</summary>
    public static IReadOnlyList<ClickEntry> ToEntries(SlateResult result) =>
    [
        .. result.Clicks.Select(click => new ClickEntry
        {
            TimeSeconds = Math.Round(click.TimeSeconds, 5),
            Spot = click.Spot < 0 ? null : result.Spots[click.Spot].Id,
            SnrDb = click.Levels is { } levels ? Math.Round(levels.SnrDb, 1) : null,
            DirectToReverberantDb = click.Levels?.DirectToReverberantDb is { } ratio ? Math.Round(ratio, 1) : null,
        }),
    ];
}
