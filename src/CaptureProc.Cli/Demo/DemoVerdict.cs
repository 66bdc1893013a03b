using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using CaptureProc.Simulation.Scenarios;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Cli.Demo;

/// <summary>One spot: what was measured, what is true, and whether the two agree.</summary>
internal sealed record SpotVerdict(SpotEntry Measured, SpotTruth True, string Oddity)
{
    /// <summary>Worst error of a delay that the project allows itself at this signal-to-noise ratio.</summary>
    public const double DelayLimitSamples = 0.12;

    /// <summary>The same for a direction.</summary>
    public const double DirectionLimitDeg = 3.5;

    public double? DelayErrorSamples => Measured.Delay?.Samples - True.DelaySamples;

    public double? DirectionErrorDeg => Measured.Direction is { } direction
        ? Direction.AngleBetweenDeg(direction.ToDirection(), True.Direction)
        : null;

    /// <summary>Null where all is well, else what is not.</summary>
    public string? Fault => this switch
    {
        { Measured.Delay: null } => "no delay",
        { DelayErrorSamples: { } error } when Math.Abs(error) > DelayLimitSamples => "delay off",
        { DelayErrorSamples: { } error, Measured.Delay: { } delay } when Math.Abs(error) > 3 * delay.UncertaintySamples => "delay less sure than said",
        { DirectionErrorDeg: null } => "no direction",
        { DirectionErrorDeg: > DirectionLimitDeg } => "direction off",
        { Measured.Polarity: null } => "polarity unsure",
        _ => Measured.Polarity == True.Polarity ? null : "polarity wrong",
    };
}

/// <summary>One channel of the main array: the gain error it was given and the trim that was found for it.</summary>
internal sealed record TrimVerdict(int Channel, double GainErrorDb, double? TrimDb)
{
    /// <summary>The line-up's own aim is 0.1 dB; on noise without a room it does far better.</summary>
    public const double LimitDb = 0.02;

    public double? LeftOverDb => GainErrorDb + TrimDb;

    public bool IsWithin => LeftOverDb is { } db && Math.Abs(db) <= LimitDb;
}

/// <summary>The demo's outcome.</summary>
internal sealed record DemoVerdict(IReadOnlyList<SpotVerdict> Spots, IReadOnlyList<TrimVerdict> Trims)
{
    public bool IsWithin => Spots.All(s => s.Fault is null) && Trims.All(t => t.IsWithin);

    public static DemoVerdict Of(SessionDocument session, Scene scene, SceneTruth truth)
    {
        var spots = new List<SpotVerdict>();
        foreach (var spot in scene.Spots)
        {
            var click = scene.Clicks.FirstOrDefault(c => c.SourceId == spot.SourceId);
            spots.Add(new SpotVerdict(session.FindSpot(spot.Id), truth.Spot(spot.Id), Oddity(spot, click)));
        }
        // Trims are relative: the array's own mean decides nothing, so both are read against channel 1.
        var array = session.MainArray();
        var trims = array.ActiveTrim is null ? [] : array.TrimDb();
        var errors = TideMill.RecorderGainErrorsDb;
        return new DemoVerdict(spots, [.. Enumerable.Range(0, errors.Count).Select(i =>
            new TrimVerdict(i + 1, errors[i] - errors[0], trims.Count == 0 ? null : trims[i] - trims[0]))]);
    }

    private static string Oddity(SceneSpot spot, ClickEvent? click)
    {
        var odd = new List<string>();
        if (spot.Inverted)
            odd.Add("inverted");
        if (spot.Capsules is not null)
            odd.Add("tetrahedral");
        if (Math.Abs(spot.LevelOffsetDb) >= 6)
            odd.Add(FormattableString.Invariant($"{spot.LevelOffsetDb:+0;-0;0} dB"));
        if (click is { ClippedByDb: not null })
            odd.Add("clap clips");
        if (click is { Kind: ClickKind.Flam })
            odd.Add("flam");
        if (click is { Kind: ClickKind.Slate })
            odd.Add("wooden slate");
        return string.Join(", ", odd);
    }
}
