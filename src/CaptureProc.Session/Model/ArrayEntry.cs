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

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
