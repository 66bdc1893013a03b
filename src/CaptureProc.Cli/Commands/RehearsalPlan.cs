using CaptureProc.Analysis.Measuring;
using CaptureProc.Analysis.Placement;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>What a rehearsal recording says about the place of the array, and what follows from it.</summary>
internal sealed record RehearsalPlan(SessionDocument Session, string ArrayId, double FromSeconds, double ToSeconds, RehearsalResult Result, PlacementAdvice Advice)
{
    /// <summary>Why the spots could not be used; empty where they were.</summary>
    public IReadOnlyList<string> MissingSpots { get; init; } = [];

    /// <summary>Whether somebody is known to sit behind the array: then front against back tells nothing about the hall.</summary>
    public bool IsSurrounded => Session.Spots.Any(s => Math.Abs(s.Direction?.AzimuthDeg ?? 0) > 90);

    public bool IsBehindLouder => !IsSurrounded && Result.FrontOverBackDb <= 0;

    /// <summary>Median over the claps of the slate; null without any.</summary>
    public double? SlateRatioDb => Session.Clicks.Select(c => c.DirectToReverberantDb).OfType<double>().Order().ToList() is { Count: > 0 } ratios
        ? (ratios[(ratios.Count - 1) / 2] + ratios[ratios.Count / 2]) / 2
        : null;

    public int ExitCode => Advice.RatioDb < Advice.WantedDb && Advice.Move != PlacementMove.Stay || Advice.Move == PlacementMove.Unsure || IsBehindLouder
        ? Desk.NeedsAttention
        : Desk.Done;

    public static int Run(Desk desk, RehearsalOrder order)
    {
        var session = SessionStore.Read(order.Session);
        var array = session.FindArray(order.Array);
        using var recording = WavInput.Open(order.Files);
        recording.RequireSession(session);
        recording.RequireChannels(array.Channels, $"array '{array.Id}'");
        var (first, end) = order.Stretch(recording);
        var input = order.Describe(session, recording.ChannelCount, out var missing);
        if (input.Bands.Count == 0)
            throw new UnusableInputException("array-too-large", FormattableString.Invariant(
                $"array '{array.Id}': with a radius of {array.RadiusMm:0.#} mm it parts no octave from 250 Hz up into pressure and velocity; check the radius"));
        desk.Tell(recording);

        RehearsalResult result;
        using (var progress = desk.Progress("listening to the music"))
            result = new RehearsalMeasurement(new WavFrameSource(recording), input).Measure(first, end, progress);
        if (result.DirectToReverberantDb is not { } ratioDb)
            throw new UnusableInputException("silence", "the stretch carries nothing in the octaves that the array resolves; choose a stretch with music in it");
        var heard = session.HeardBy(array);
        var distances = heard.Spots.Select(s => s.DistanceM).OfType<double>().Where(m => m > 0).ToList();
        var plan = new RehearsalPlan(heard, array.Id, (double)first / session.SampleRate, (double)end / session.SampleRate, result,
            new PlacementAdvice(ratioDb, result.UncertaintyDb, order.WantedDb, PlacementAdvice.CommonDistanceM(distances)))
        {
            MissingSpots = missing,
        };
        RehearsalReport.Show(desk, plan);
        return plan.ExitCode;
    }
}
