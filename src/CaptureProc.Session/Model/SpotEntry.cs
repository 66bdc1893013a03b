using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>A spot microphone and what has been measured about it; null where nothing has been measured.</summary>
public sealed record SpotEntry
{
    public string Id { get; init; } = "";

    /// <summary>Channels of the recording, counted from 1: one, two, or the four of a capsule array.</summary>
    public IReadOnlyList<int> Channels { get; init; } = [];

    /// <summary>For a spot with four channels: the entry of <c>arrays</c> that describes its capsules.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? ArrayId { get; init; }

    /// <summary>Against the main array.</summary>
    public SpotDelay? Delay { get; init; }

    /// <summary>Against other arrays, one each; null where the spot was measured against the main array only.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<ArrayDelay>? Delays { get; init; }

    /// <summary>For a spot on a recorder of its own, without a common clock; null where the clocks are one.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SpotClock? Clock { get; init; }

    /// <summary>+1 as the array, −1 inverted, null not known or not sure.</summary>
    public int? Polarity { get; init; }

    public SpotDirection? Direction { get; init; }

    /// <summary>From the main array's acoustic centre to the source, in metres.</summary>
    public double? DistanceM { get; init; }

    /// <summary>The dB to add to the spot for its direct sound to be as loud as it is in the array.</summary>
    public double? GainDb { get; init; }

    /// <summary>How the clap looks in array and spot; null where the delay does not come from one.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SlateTraces? Slate { get; init; }

    /// <summary>Why something is missing, in words.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Note { get; init; }

    /// <summary>Which microphone it is, in words.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Microphone { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>What has to be added to the spot so that it lines up with the array; positive: the spot waits.</summary>
public sealed record SpotDelay
{
    /// <summary>At the session's rate, as a real number.</summary>
    public double Samples { get; init; }

    public double Ms { get; init; }

    public double UncertaintySamples { get; init; }

    /// <summary>A probability: of the delays given 0.95, at least 95 % are right to within three times their uncertainty.</summary>
    public double Confidence { get; init; }

    public string? Source { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>How the clock of a spot's own recorder runs against that of the array's.</summary>
public sealed record SpotClock
{
    /// <summary>Parts per million; positive: the spot's clock is fast, its recording longer, its delay shrinks as time goes on.</summary>
    public double DriftPpm { get; init; }

    public double UncertaintyPpm { get; init; }

    /// <summary>When, on the array's clock from the beginning of the recording, the spot's delay is the one that is stated.</summary>
    public double AtSeconds { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Where the spot's source stands as the array hears it.</summary>
public sealed record SpotDirection
{
    public double AzimuthDeg { get; init; }

    public double ElevationDeg { get; init; }

    public double? UncertaintyDeg { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
