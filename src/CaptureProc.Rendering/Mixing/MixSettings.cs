using CaptureProc.Rendering.Alignment;
using CaptureProc.Session;

namespace CaptureProc.Rendering.Mixing;

/// <summary>How array and spots are put together.</summary>
public sealed record MixSettings
{
    /// <summary>How the spots are aligned, and the order of the mix.</summary>
    public AlignmentSettings Alignment { get; init; } = new();

    /// <summary>Gain of every spot that has none of its own in <see cref="SpotGainsDb"/>; null = the gain that was measured for each.</summary>
    /// <remarks>
    /// With the measured gain a player's direct sound is as loud from the spot as it is in the array: a balance to begin with. As
    /// recorded, a spot within arm's reach is ten times as loud as an array at some metres, and nothing of the hall is left.
    /// </remarks>
    public double? SpotGainDb { get; init; }

    /// <summary>Gains of single spots, by id.</summary>
    public IReadOnlyDictionary<string, double> SpotGainsDb { get; init; } = new Dictionary<string, double>();

    /// <summary>Gain of the whole.</summary>
    public double LevelDb { get; init; }

    /// <summary>The gain that a spot gets.</summary>
    /// <param name="spot">As the array in use hears it.</param>
    public double GainDbOf(SpotEntry spot) => SpotGainsDb.TryGetValue(spot.Id, out var own) ? own : SpotGainDb ?? spot.GainDb ?? 0;

    /// <summary>Whether nobody said how loud this spot is to be, neither the settings nor a measurement.</summary>
    public bool IsGainUnknown(SpotEntry spot) => !SpotGainsDb.ContainsKey(spot.Id) && SpotGainDb is null && spot.GainDb is null;
}
