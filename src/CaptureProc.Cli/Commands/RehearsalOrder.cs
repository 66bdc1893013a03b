using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>Which recording is to say something about the place, and what is wanted.</summary>
internal sealed record RehearsalOrder(string Session, TakeFiles Files)
{
    public double? FromSeconds { get; init; }

    public double? ToSeconds { get; init; }

    /// <summary>Direct over the rest that the array should hear.</summary>
    public double WantedDb { get; init; }

    public string? Array { get; init; }

    public string? Trim { get; init; }

    /// <summary>The stretch in frames.</summary>
    public (long First, long End) Stretch(WavInput recording)
    {
        var seconds = (double)recording.FrameCount / recording.SampleRateHz;
        foreach (var (option, value) in new[] { ("--from", FromSeconds), ("--to", ToSeconds) })
            if (value > seconds)
                throw new UnusableInputException("bad-arguments", FormattableString.Invariant($"{option} {value}: lies beyond the end of the recording, which is {seconds:0.000} s long"));
        if (FromSeconds >= (ToSeconds ?? seconds))
            throw new UnusableInputException("bad-arguments", FormattableString.Invariant($"--from {FromSeconds}: has to lie before the end of the stretch at {ToSeconds ?? seconds:0.000} s"));
        return ((long)((FromSeconds ?? 0) * recording.SampleRateHz), ToSeconds is { } to ? (long)(to * recording.SampleRateHz) : recording.FrameCount);
    }

    /// <summary>The session in the terms of the analysis.</summary>
    /// <param name="session">The session.</param>
    /// <param name="channels">How many the recording has.</param>
    /// <param name="missing">Spots that cannot help, each with the reason; with one of them missing the others are left out too.</param>
    public PlacementInput Describe(SessionDocument session, int channels, out IReadOnlyList<string> missing)
    {
        var array = session.FindArray(Array);
        var field = new FieldConversion { Trim = Trim }.DesignFilter(session, array);
        var problems = new List<string>();
        var players = new List<PlayerInput>();
        foreach (var spot in session.HeardBy(array).Spots)
        {
            if (Problem(spot, channels, session.IsMain(array) ? "" : $" against array '{array.Id}'") is { } problem)
                problems.Add($"spot '{spot.Id}' {problem}");
            else
                players.Add(Player(session, spot));
        }
        missing = problems;
        // The direct sound of a player without a spot would pass for the hall.
        return new PlacementInput(session.SampleRate, session.Air.SpeedOfSound, [.. array.Channels.Select(c => c - 1)], field, array.RadiusMm / 1000,
            problems.Count == 0 ? players : []);
    }

    private static string? Problem(SpotEntry spot, int channels, string against) => spot switch
    {
        { Delay: null } or { GainDb: null } or { Direction: null } or { Polarity: null } => $"is not measured{against} yet",
        { Clock: not null } => "has a recorder of its own",
        _ => spot.Channels.Max() > channels ? "is not in the recording" : null,
    };

    private static PlayerInput Player(SessionDocument session, SpotEntry spot)
    {
        MatrixFilter? own = null;
        if (session.ArrayOf(spot, out _) is { } capsules)
            own = new FieldConversion().DesignFilter(session, capsules);
        var gain = spot.Polarity!.Value * Math.Pow(10, spot.GainDb!.Value / 20);
        // A spot that is converted comes later by the filter's own delay.
        return new PlayerInput(spot.Id, [.. spot.Channels.Select(c => c - 1)], [.. spot.Channels.Select(_ => 1.0)],
            spot.Delay!.Samples - (own?.LatencyFrames ?? 0), gain, spot.Direction!.ToDirection().ToUnitVector())
        {
            FieldShare = spot.DistanceM is { } arrayM and > 0 ? PlayerInput.ShareOfField(SpotM(session, spot, arrayM), arrayM) : 0,
            Own = own,
        };
    }

    /// <summary>From player to spot, as far as delay and distance tell; both have their errors, and half a metre is the usual place.</summary>
    private static double SpotM(SessionDocument session, SpotEntry spot, double arrayM) =>
        ExpectedDelay.SourceToSpotM(arrayM, spot.Delay!.Samples / session.SampleRate, session.Air.SpeedOfSound) is var spotM and > 0.1 and < 1.5 ? spotM : 0.5;
}
