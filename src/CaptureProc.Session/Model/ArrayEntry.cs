using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>Four capsules on a small sphere: their channels, their geometry, and the trims found for them.</summary>
public sealed record ArrayEntry
{
    public string Id { get; init; } = "";

    /// <summary>The channel of the recording that carries each capsule, counted from 1.</summary>
    public IReadOnlyList<int> Channels { get; init; } = [];

    /// <summary>The capsule on each of <see cref="Channels"/>, in the same order.</summary>
    public IReadOnlyList<CapsuleEntry> Capsules { get; init; } = [];

    public double RadiusMm { get; init; }

    /// <summary>First-order pattern: 0 figure-eight, 0.5 cardioid, 1 omni.</summary>
    public double Pattern { get; init; }

    public MountEntry Mount { get; init; } = new();

    public IReadOnlyList<TrimSet> TrimSets { get; init; } = [];

    /// <summary>Name of the trim set in use; null for the levels as recorded.</summary>
    public string? ActiveTrim { get; init; }

    /// <summary>What the last check of order and polarity found; null where there was none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public PatchCheck? Patch { get; init; }

    /// <summary>Which microphone it is, in words.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Microphone { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Where one capsule looks, in the array's own frame.</summary>
public sealed record CapsuleEntry
{
    /// <summary>Three letters as in FLU: front or back, left or right, up or down; any other name is allowed.</summary>
    public string Label { get; init; } = "";

    public double AzimuthDeg { get; init; }

    public double ElevationDeg { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>How the array is turned in the room: roll first, then pitch, then yaw.</summary>
public sealed record MountEntry
{
    public double YawDeg { get; init; }

    public double PitchDeg { get; init; }

    public double RollDeg { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>The dB to add to each channel of an array so that its capsules match.</summary>
public sealed record TrimSet
{
    public string Name { get; init; } = "";

    public string? Source { get; init; }

    public IReadOnlyList<double> Db { get; init; } = [];

    public IReadOnlyList<double>? UncertaintyDb { get; init; }

    /// <summary>How far apart the gains could be and still pass; null where the set was not held to any.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? ToleranceDb { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>The verdict of a check of an array's channels.</summary>
public sealed record PatchCheck
{
    public DateTimeOffset At { get; init; }

    public bool Ok { get; init; }

    /// <summary>The capsule that each channel was found to carry; null where order was not checked, or is not sure.</summary>
    public IReadOnlyList<string>? Order { get; init; }

    /// <summary>+1 or −1 for each channel; null where polarity is not sure.</summary>
    public IReadOnlyList<int>? Polarity { get; init; }

    public double Confidence { get; init; }

    /// <summary>In words; empty where all is well.</summary>
    public IReadOnlyList<string> Problems { get; init; } = [];

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
