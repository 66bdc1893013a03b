using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;

namespace CaptureProc.Simulation.Scenes;

/// <summary>What a perfect measurement of a spot would find, against the scene's first array.</summary>
/// <param name="DelaySamples">
/// What the spot has to wait. In an ideal scene that is (source to array centre − source to spot centre)/c·rate. In any other it is what
/// lines up the direct sounds best as they were recorded: the largest correlation, from 300 Hz to 8 kHz, of the direct sound in W (the
/// full encoder of the promised array on the real capsules) and in the spot, every frequency with its strength in both. Proximity, pattern, low
/// cut, the body between the capsules and the width of the source are part of it; reflections from boards, and all but the first wave round
/// somebody in the way, are not. Where a player clapped more than once: the mean over the claps; <see cref="ClickTruth.SpotDelays"/> has each.
/// </param>
/// <param name="Direction">Of the source as the array sees it, in the room's axes.</param>
/// <param name="Polarity">1, or −1 where the spot's channel comes inverted.</param>
/// <param name="LevelOffsetDb">Gain of the spot's channel beyond the common one.</param>
/// <param name="DirectOverArrayDb">Direct sound in the spot (proximity left out) over direct sound in the array's W.</param>
public sealed record SpotTruth(
    string SpotId, string SourceId, double DelaySamples, Direction Direction, double ArrayDistanceM, double SpotDistanceM,
    int Polarity, double LevelOffsetDb, double DirectOverArrayDb)
{
    /// <summary>The delay of the geometry alone, whatever the microphones do.</summary>
    public double GeometricDelaySamples { get; init; } = DelaySamples;

    /// <summary>Why no measurement can find this delay (a dead channel, somebody else's signal on it); null = it can.</summary>
    public string? Hindrance { get; init; }

    /// <summary>What lies between the smallest and the largest delay over the player's claps: 0 unless the source moved.</summary>
    public double DelaySpreadSamples { get; init; }

    public static SpotTruth Of(Scene scene, SceneArray array, SceneSpot spot) => Of(scene, array, spot, scene.Source(spot.SourceId));

    /// <summary>The same for a click at another source: one clap for all.</summary>
    public static SpotTruth Of(Scene scene, SceneArray array, SceneSpot spot, SceneSource source)
    {
        var toArray = array.CentreM - source.PositionM;
        var toSpot = spot.PositionM - source.PositionM;
        var sensitivity = 1.0;
        if (spot.Capsules is null)
        {
            var look = (spot.Aim ?? -toSpot).Normalised();
            sensitivity = spot.Pattern + (1 - spot.Pattern) * Vector3D.Dot(look, (-toSpot).Normalised());
        }
        var ratio = sensitivity * source.Radiation.Towards(toSpot) / toSpot.Length / (source.Radiation.Towards(toArray) / toArray.Length);
        return new SpotTruth(spot.Id, source.Id,
            (toArray.Length - toSpot.Length) / scene.Room.SpeedOfSoundMps * scene.SampleRateHz,
            Direction.Of(-toArray), toArray.Length, toSpot.Length,
            spot.Inverted != sensitivity < 0 ? -1 : 1, spot.LevelOffsetDb,
            spot.LevelOffsetDb + 20 * Math.Log10(Math.Abs(ratio)));
    }
}

/// <summary>What there is to know about one click as the scene's first array hears it.</summary>
/// <param name="ArrivalSeconds">When the burst begins at the array's centre.</param>
/// <param name="SignalToNoiseDb">Peak of its direct sound in W over the RMS of the noise in W; infinite without noise.</param>
/// <param name="DirectToReverberantDb">Energy of the direct impulse over that of all later arrivals, omnidirectional, white.</param>
public sealed record ClickTruth(ClickEvent Click, double ArrivalSeconds, double SignalToNoiseDb, double DirectToReverberantDb)
{
    /// <summary>The delay meant, at this click, of every spot of the source that clicked.</summary>
    public IReadOnlyDictionary<string, double> SpotDelays { get; init; } = new Dictionary<string, double>();
}

/// <summary>The true values that a measurement is compared with.</summary>
public sealed record SceneTruth(IReadOnlyList<SpotTruth> Spots, IReadOnlyList<ClickTruth> Clicks)
{
    /// <summary>Numbers (from 1) of the first array's channels that do not carry their own capsule the right way round.</summary>
    public IReadOnlyList<int> FaultyCapsules { get; init; } = [];

    public SpotTruth Spot(string id)
    {
        foreach (var spot in Spots)
            if (spot.SpotId == id)
                return spot;
        throw new ArgumentException($"The scene has no spot '{id}'.", nameof(id));
    }
}
