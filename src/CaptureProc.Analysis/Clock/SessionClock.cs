using CaptureProc.Session;

namespace CaptureProc.Analysis.Clock;

/// <summary>From measured clocks to the session.</summary>
/// <remarks>Thread: [any].</remarks>
public static class SessionClock
{
    /// <summary>The session with the clocks in it; a spot whose clock could not be measured keeps what it had.</summary>
    /// <param name="session">The session.</param>
    /// <param name="array">The array against whose clock they were measured.</param>
    /// <param name="clocks">One a spot.</param>
    public static SessionDocument Enter(SessionDocument session, ArrayEntry array, IReadOnlyList<ClockResult> clocks)
    {
        foreach (var clock in clocks)
            if (clock.DriftPpm is { } driftPpm && session.Spots.FirstOrDefault(s => s.Id == clock.Spot.Id) is { } spot)
                session = session.WithHeardBy(array, session.HeardBy(array, spot) with
                {
                    // Six decimals: a millionth of a ppm moves the end of ten hours by a thousandth of a sample.
                    Clock = new SpotClock
                    {
                        DriftPpm = Math.Round(driftPpm, 6), UncertaintyPpm = Math.Round(clock.DriftSigmaPpm, 6), AtSeconds = Math.Round(clock.AtSeconds, 6),
                    },
                });
        return session;
    }

    /// <summary>The two slates of each clock as the session lists clicks.</summary>
    public static IEnumerable<ClickEntry> ToEntries(IReadOnlyList<ClockResult> clocks) => clocks
        .Where(c => c.DriftPpm is not null)
        .SelectMany(c => new[] { c.AtSeconds, c.TailSeconds }.Select(time => new ClickEntry { Spot = c.Spot.Id, TimeSeconds = Math.Round(time, 5) }));
}
