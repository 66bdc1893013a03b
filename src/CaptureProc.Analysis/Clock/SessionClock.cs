using CaptureProc.Session;

namespace CaptureProc.Analysis.Clock;

/// <summary>From measured clocks to the session.</summary>
/// <remarks>Thread: [any].</remarks>
public static class SessionClock
{
    /// <summary>The session with the clocks in it; a spot whose clock could not be measured keeps what it had.</summary>
    public static SessionDocument Enter(SessionDocument session, IReadOnlyList<ClockResult> clocks) => session with
    {
        Spots = [.. session.Spots.Select(spot => clocks.FirstOrDefault(c => c.Spot.Id == spot.Id) is { DriftPpm: { } driftPpm } clock
            ? spot with
            {
                // Six decimals: a millionth of a ppm moves the end of ten hours by a thousandth of a sample.
                Clock = new SpotClock
                {
                    DriftPpm = Math.Round(driftPpm, 6), UncertaintyPpm = Math.Round(clock.DriftSigmaPpm, 6), AtSeconds = Math.Round(clock.AtSeconds, 6),
                },
            }
            : spot)],
    };

    /// <summary>The two slates of each clock as the session lists clicks.</summary>
    public static IEnumerable<ClickEntry> ToEntries(IReadOnlyList<ClockResult> clocks) => clocks
        .Where(c => c.DriftPpm is not null)
        .SelectMany(c => new[] { c.AtSeconds, c.TailSeconds }.Select(time => new ClickEntry { Spot = c.Spot.Id, TimeSeconds = Math.Round(time, 5) }));
}
