namespace CaptureProc.Simulation.Scenes;

/// <summary>A sound that somebody recorded, handed in by the caller.</summary>
/// <param name="Samples">Mono; silence before and after is cut off, the level does not matter.</param>
public sealed record RecordedSound(string Name, float[] Samples, double SampleRateHz);

/// <summary>What a scene with real microphones, claps and rooms may contain.</summary>
public sealed record RealSceneRanges
{
    public double SampleRateHz { get; init; } = 48000;

    public int SpotCount { get; init; } = 5;

    /// <summary>Peak of the direct claps over the noise RMS, as in <see cref="NoiseFloor"/>; <see cref="SceneStems.At"/> changes it afterwards.</summary>
    public double SignalToNoiseDb { get; init; } = 65;

    public SceneParts Parts { get; init; } = SceneParts.Usual;

    /// <summary>Radius of the array; null = 10, 12, 15, 20 or 25 mm by chance.</summary>
    public double? ArrayRadiusM { get; init; }

    /// <summary>Claps to use where <see cref="SceneParts.RecordedClaps"/> is on; without any, invented ones are used.</summary>
    public IReadOnlyList<RecordedSound> RecordedClaps { get; init; } = [];

    /// <summary>Share of claps that are recorded ones, if there are any.</summary>
    public double RecordedShare { get; init; } = 0.6;

    public double SecondsBetweenClaps { get; init; } = 1.5;

    public double LongestTailSeconds { get; init; } = 0.8;

    public double NearestClapM { get; init; } = 1.5;

    public double FarthestClapM { get; init; } = 6;

    public double ShortestReverberationSeconds { get; init; } = 0.4;

    public double LongestReverberationSeconds { get; init; } = 2.5;

    public double InvertedShare { get; init; } = 0.3;

    /// <summary>Share of spots that are small tetrahedral arrays.</summary>
    public double TetrahedralSpotShare { get; init; }
}
