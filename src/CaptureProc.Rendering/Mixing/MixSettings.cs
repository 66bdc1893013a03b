using CaptureProc.Rendering.Alignment;

namespace CaptureProc.Rendering.Mixing;

/// <summary>How array and spots are put together.</summary>
public sealed record MixSettings
{
    /// <summary>How the spots are aligned, and the order of the mix.</summary>
    public AlignmentSettings Alignment { get; init; } = new();

    /// <summary>Gain of every spot that has none of its own in <see cref="SpotGainsDb"/>.</summary>
    public double SpotGainDb { get; init; }

    /// <summary>Gains of single spots, by id.</summary>
    public IReadOnlyDictionary<string, double> SpotGainsDb { get; init; } = new Dictionary<string, double>();

    /// <summary>Gain of the whole.</summary>
    public double LevelDb { get; init; }
}
