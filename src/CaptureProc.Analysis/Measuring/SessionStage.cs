using CaptureProc.Analysis.Clicks;
using CaptureProc.Analysis.Stage;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Analysis.Measuring;

/// <summary>From a session to what the stage asks for, and back.</summary>
/// <remarks>Thread: [any].</remarks>
public static class SessionStage
{
    /// <summary>Nobody tapes the middle of a microphone better than this.</summary>
    private const double TapeSigmaM = 0.01;

    /// <summary>The arrays beside one, as far as a recording carries them.</summary>
    public static IReadOnlyList<FurtherArray> Further(SessionDocument session, ArrayEntry main, int recordedChannels) =>
    [
        .. session.Arrays.Where(a => a.Id != main.Id && session.Spots.All(s => s.ArrayId != a.Id && !s.Channels.SequenceEqual(a.Channels)) && a.Channels.Max() <= recordedChannels)
            .Select(a => new FurtherArray(a.Id, a.ToCapsuleArray(), new ChannelSet([.. a.Channels.Select(c => c - 1)], [.. a.TrimDb(null).Select(db => Math.Pow(10, db / 20))]))),
    ];

    /// <summary>What an earlier slate of the session told, and what was taped.</summary>
    /// <param name="session">The session.</param>
    /// <param name="spots">Of the slate, in order.</param>
    /// <param name="taped">Metres from the main array, by spot.</param>
    public static StageKnowledge Knowledge(SessionDocument session, IReadOnlyList<SpotInput> spots, IReadOnlyDictionary<string, double> taped) => new()
    {
        Taped = [.. Enumerable.Range(0, spots.Count).Where(s => taped.ContainsKey(spots[s].Id)).Select(s => new TapedDistance(s, taped[spots[s].Id], TapeSigmaM))],
        Spots = (session.Stage?.Spots ?? []).ToDictionary(s => s.Id, s => Place(s.PositionM, s.CovarianceM2)),
        Players = (session.Stage?.Claps ?? []).Where(c => c.Spot is not null).GroupBy(c => c.Spot!).ToDictionary(g => g.Key, g => Place(g.First().PositionM, g.First().CovarianceM2)),
    };

    /// <summary>The session with the stage of a slate; places that this slate does not tell stay.</summary>
    public static SessionDocument Enter(SessionDocument session, StageEntry? stage)
    {
        if (stage is null || session.Stage is not { } before)
            return stage is null ? session : session with { Stage = stage };
        var told = stage.Spots.Select(s => s.Id).ToHashSet();
        var clapped = stage.Claps.Select(c => c.Spot).ToHashSet();
        return session with
        {
            Stage = stage with
            {
                Spots = [.. stage.Spots, .. before.Spots.Where(s => !told.Contains(s.Id) && session.Spots.Any(own => own.Id == s.Id))],
                Claps = [.. stage.Claps, .. before.Claps.Where(c => c.Spot is { } spot && !clapped.Contains(spot) && session.Spots.Any(own => own.Id == spot))],
                Unknown = before.Unknown,
            },
        };
    }

    /// <summary>The stage as the session keeps it; null for one clap for all, which tells no places.</summary>
    public static StageEntry? ToEntry(StagedSlate slate, SessionDocument session, bool isOneForAll)
    {
        if (isOneForAll)
            return null;
        var (stage, names) = (slate.Stage, slate.Names);
        var isTaped = slate.Input.Taped.Count > 0;
        return new StageEntry
        {
            Array = names.Arrays[0],
            SpeedOfSound = Math.Round(stage.Speed.Mps, 3),
            SpeedOfSoundUncertainty = isTaped ? Math.Round(stage.Speed.SigmaMps, 3) : null,
            TemperatureC = isTaped ? Math.Round(TemperatureC(stage.Speed.Mps), 1) : null,
            // c grows as the root of the absolute temperature: 1 % of c is 2 % of T.
            TemperatureUncertaintyC = isTaped ? Math.Round(2 * stage.Speed.SigmaMps / stage.Speed.Mps * (TemperatureC(stage.Speed.Mps) + 273.15), 1) : null,
            FloorM = Math.Round(stage.FloorM, 2),
            Spots = [.. Enumerable.Range(0, stage.Spots.Count).Where(s => stage.Spots[s].IsKnown).Select(s => new StageSpot
            {
                Id = names.Spots[s],
                PositionM = Numbers(stage.Spots[s].PositionM),
                CovarianceM2 = Numbers(stage.Spots[s].Covariance),
                OwnClaps = slate.Claps.Count(c => c.Owner == s),
                OtherClaps = StageMeasurement.OthersHeard(slate, s),
            })],
            Claps = [.. Enumerable.Range(0, slate.Claps.Count).Where(c => stage.Claps[c].IsKnown).Select(c => new StageClapEntry
            {
                TimeSeconds = Math.Round(slate.Claps[c].TimeSeconds, 5),
                Spot = slate.Claps[c].Owner < 0 ? null : names.Spots[slate.Claps[c].Owner],
                PositionM = Numbers(stage.Claps[c].PositionM),
                CovarianceM2 = Numbers(stage.Claps[c].Covariance),
            })],
            Arrays = [.. Enumerable.Range(0, stage.Arrays.Count).Where(a => stage.Arrays[a].Place.IsKnown).Select(a => ToEntry(stage.Arrays[a], session.FindArray(names.Arrays[a + 1])))],
            Closures = [.. stage.Times.Select(t => new StageClosure
            {
                TimeSeconds = Math.Round(slate.Claps[t.Clap].TimeSeconds, 5),
                Microphone = names.Of(t.Microphone),
                ResidualMs = Math.Round(1000 * t.ResidualSeconds, 4),
                Used = t.IsUsed,
            })],
            Bleed = [.. slate.Bleed.Select(b => ToEntry(b, slate, session))],
            Concerns = slate.Concerns,
        };
    }

    private static StageArrayEntry ToEntry(StageArray array, ArrayEntry entry)
    {
        var stated = Rotation3D.FromYawPitchRollDeg(entry.Mount.YawDeg, entry.Mount.PitchDeg, entry.Mount.RollDeg);
        var (yaw, pitch, roll) = (array.Turn * stated).ToYawPitchRollDeg();
        return new StageArrayEntry
        {
            Id = entry.Id,
            PositionM = Numbers(array.Place.PositionM),
            CovarianceM2 = Numbers(array.Place.Covariance),
            Mount = new MountEntry { YawDeg = Math.Round(yaw, 1), PitchDeg = Math.Round(pitch, 1), RollDeg = Math.Round(roll, 1) },
            TurnDeg = Math.Round(array.AngleDeg, 2),
            TurnUncertaintyDeg = Math.Round(array.TurnSigmaDeg, 2),
            Note = array.InWords(),
        };
    }

    private static StageBleed ToEntry(Bleed bleed, StagedSlate slate, SessionDocument session)
    {
        var microphone = slate.Names.Of(bleed.Microphone);
        double? DelayMs(string id) => (slate.Spots.FirstOrDefault(s => s.Id == id)?.DelaySamples ?? session.Spots.FirstOrDefault(s => s.Id == id)?.Delay?.Samples) * 1000 / session.SampleRate;
        return new StageBleed
        {
            Player = slate.Names.Spots[bleed.Player],
            Microphone = microphone,
            LaterMs = Math.Round(1000 * bleed.LaterSeconds, 4),
            LevelDb = bleed.LevelDb is { } level ? Math.Round(level, 1) : null,
            AlignedMs = bleed.Microphone >= slate.Input.ArrayCount && DelayMs(microphone) - DelayMs(slate.Names.Spots[bleed.Player]) is { } difference
                ? Math.Round(1000 * bleed.LaterSeconds + difference, 4)
                : null,
        };
    }

    private static double TemperatureC(double speedMps) => 293.15 * Math.Pow(speedMps / 343.2, 2) - 273.15;

    private static StagePlace Place(IReadOnlyList<double> place, IReadOnlyList<double> covariance) => new(new Vector3D(place[0], place[1], place[2]), covariance);

    private static double[] Numbers(Vector3D place) => [Math.Round(place.X, 4), Math.Round(place.Y, 4), Math.Round(place.Z, 4)];

    private static double[] Numbers(IReadOnlyList<double> covariance) => [.. covariance.Select(v => Math.Round(v, 9))];
}
