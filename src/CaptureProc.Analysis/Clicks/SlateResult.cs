using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Clicks;

/// <summary>A click of the slate.</summary>
/// <param name="TimeSeconds">When it is first heard.</param>
/// <param name="Spot">Index of the spot at which it was made; −1 where it belongs to none.</param>
/// <param name="Levels">Null where the array does not hear it well enough.</param>
public sealed record ClickResult(double TimeSeconds, int Spot, DirectLevels? Levels);

/// <summary>What the slate says about a spot.</summary>
public sealed record SpotResult(string Id)
{
    /// <summary>What has to be added to the spot, in samples of the recording; null where it could not be measured.</summary>
    public double? DelaySamples { get; init; }

    /// <summary>Standard deviation.</summary>
    public double DelaySigma { get; init; }

    /// <summary>Probability that the delay is right to within three times its standard deviation.</summary>
    public double Confidence { get; init; }

    /// <summary>+1 or −1; null where not sure.</summary>
    public int? Polarity { get; init; }

    public Vector3D? Direction { get; init; }

    /// <summary>Standard deviation about each of two axes.</summary>
    public double DirectionSigmaDeg { get; init; }

    /// <summary>From the array's acoustic centre to the source.</summary>
    public double? DistanceM { get; init; }

    /// <summary>The dB to add to the spot for its direct sound to be as loud as it is in the array.</summary>
    public double? GainDb { get; init; }

    /// <summary>Clicks that went into it.</summary>
    public int ClickCount { get; init; }

    /// <summary>Where the delay comes from, if not from the claps made here.</summary>
    public string? Source { get; init; }

    /// <summary>What a person should know.</summary>
    public string? Note { get; init; }
}

/// <param name="Clicks">In order of time.</param>
/// <param name="Spots">In the order of the input.</param>
/// <param name="IsOneForAll">Every click was made at one place, and all spots were measured with it.</param>
public sealed record SlateResult(IReadOnlyList<ClickResult> Clicks, IReadOnlyList<SpotResult> Spots, bool IsOneForAll)
{
    /// <summary>What is wrong with the array itself, as its capsules show against one another; null = nothing that shows.</summary>
    public string? ArrayProblem { get; init; }
}
