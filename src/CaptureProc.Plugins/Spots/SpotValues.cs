using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Spots;

/// <summary>How far the session can be relied on for a spot; the places in a read-only list.</summary>
internal enum SpotStatus
{
    NoSpot,
    Measured,
    Uncertain,
    NotMeasured,
    NotInSession,
    OutOfRange,
}

/// <summary>What the session says about one spot, at the host's rate. Immutable: made off the audio thread, read on it.</summary>
internal sealed record SpotValues(double DelaySamples, int Polarity, Direction Direction, SpotStatus Status)
{
    private const double SureFrom = 0.95;

    /// <summary>No spot: no delay, straight ahead.</summary>
    public static SpotValues None { get; } = new(0, 1, new Direction(0, 0), SpotStatus.NoSpot);

    /// <param name="session">The session in use; null for none.</param>
    /// <param name="name">The spot's; empty for none.</param>
    /// <param name="arrayName">The array to line up with; empty for the main array.</param>
    /// <param name="shape">Of the plug-in: the rate of the host, and which delays there is room for.</param>
    public static SpotValues Of(SessionDocument? session, string name, string arrayName, SpotShape shape)
    {
        if (name.Length == 0 || session is null)
            return None;
        if (session.Spots.FirstOrDefault(s => string.Equals(s.Id, name, StringComparison.OrdinalIgnoreCase)) is not { } spot)
            return None with { Status = SpotStatus.NotInSession };
        if (arrayName.Length > 0)
        {
            if (session.Arrays.FirstOrDefault(a => string.Equals(a.Id, arrayName, StringComparison.OrdinalIgnoreCase)) is not { } array)
                return None with { Status = SpotStatus.NotInSession };
            spot = session.HeardBy(array, spot);
        }
        // The very samples at the session's own rate, so that the plug-in's filter is the command line's to the last digit.
        var scale = shape.SampleRateHz == session.SampleRate ? 1 : shape.SampleRateHz / session.SampleRate;
        var delaySamples = (spot.Delay?.Samples ?? 0) * scale;
        // A delay that cannot be played is none: the nearest that can would be a sure wrong place.
        var isPlayable = shape.CanDelay(delaySamples);
        var status = spot.Delay switch
        {
            null => SpotStatus.NotMeasured,
            _ when !isPlayable => SpotStatus.OutOfRange,
            { Confidence: >= SureFrom } => SpotStatus.Measured,
            _ => SpotStatus.Uncertain,
        };
        return new SpotValues(
            isPlayable ? delaySamples : 0, spot.Polarity ?? 1, spot.Direction?.ToDirection() ?? new Direction(0, 0), status);
    }
}
