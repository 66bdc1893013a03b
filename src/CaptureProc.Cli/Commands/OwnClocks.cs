using CaptureProc.Analysis;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Clock;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>Spots on recorders of their own, as 'measure' is asked for them.</summary>
internal static class OwnClocks
{
    /// <summary>The spots that are named, or that the session says have a clock of their own.</summary>
    public static IReadOnlySet<string> Names(SessionDocument session, MeasureOrder order)
    {
        if (order.OwnClock.Length > 0 && order.IsProgram)
            throw new UnusableInputException("bad-arguments", "--own-clock and --program exclude each other: a clock is measured from two claps; give one of them");
        if (order is { IsProgram: false, At: { } at } && (order.OwnClock.Length > 0 || session.Spots.Any(HasOwn)) && at.Length < 2)
            throw new UnusableInputException("bad-arguments", "a clock needs two claps: give --at the time of the one at the head and of the one at the tail, or leave it out");
        return order.OwnClock.Select(id => session.FindSpot(id).Id)
            .Concat(session.Spots.Where(HasOwn).Select(s => s.Id)).ToHashSet();
    }

    // A recorder of its own is that against every array.
    private static bool HasOwn(SpotEntry spot) => spot.Clock is not null || spot.Delays?.Any(d => d.Clock is not null) == true;

    /// <param name="atSeconds">Where the claps are; the first and the last one count. Null = find them.</param>
    public static IReadOnlyList<ClockResult> Measure(IFrameSource source, SlateInput input, double[]? atSeconds, IReadOnlySet<string> names, Action<long> progress)
    {
        var measurement = new ClockMeasurement(source, input);
        return [.. Enumerable.Range(0, input.Spots.Count).Where(i => names.Contains(input.Spots[i].Id)).Select(i => atSeconds is null
            ? measurement.Measure(i, progress)
            : measurement.Measure(i, atSeconds.Min(), atSeconds.Max()))];
    }
}
