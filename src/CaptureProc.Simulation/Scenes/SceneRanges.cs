namespace CaptureProc.Simulation.Scenes;

/// <summary>What a drawn scene may contain.</summary>
public sealed record SceneRanges
{
    public double SampleRateHz { get; init; } = 48000;

    public int SpotCount { get; init; } = 4;

    /// <summary>Peak of the direct click in the array's W over the noise RMS there, the same for every click of a scene.</summary>
    public double SignalToNoiseDb { get; init; } = 45;

    public double ShortestReverberationSeconds { get; init; } = 0.4;

    public double LongestReverberationSeconds { get; init; } = 2.5;

    public double NearestClickM { get; init; } = 1.8;

    public double FarthestClickM { get; init; } = 4.2;

    public double NearestSpotM { get; init; } = 0.3;

    public double FarthestSpotM { get; init; } = 0.9;

    public double LargestLevelOffsetDb { get; init; } = 12;

    public double InvertedShare { get; init; } = 0.5;

    /// <summary>Share of spots that are small tetrahedral arrays.</summary>
    public double TetrahedralSpotShare { get; init; }

    /// <summary>Share of clicks that are wooden slates rather than claps.</summary>
    public double SlateShare { get; init; } = 0.2;

    public double FlamShare { get; init; }

    public double ClippedShare { get; init; }

    public double MissingShare { get; init; }

    /// <summary>Level of speech between the clicks, peak re the clicks; null = silence.</summary>
    public double? TalkDb { get; init; }

    public double SecondsBetweenClicks { get; init; } = 1.1;

    public double ArrayRadiusM { get; init; } = 0.0147;

    public double ArrayPattern { get; init; } = 0.5;

    /// <summary>Turn the array's mount at random instead of leaving it level and facing front.</summary>
    public bool RandomMount { get; init; }
}
