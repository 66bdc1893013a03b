using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>Where everybody sits, from the claps. Metres from the main array's acoustic centre, along the session's axes.</summary>
public sealed record StageEntry
{
    /// <summary>The array at the origin.</summary>
    public string Array { get; init; } = "";

    /// <summary>Metres a second that the lengths were made with.</summary>
    public double SpeedOfSound { get; init; }

    /// <summary>Standard deviation of the former, where a taped distance told it; else null.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? SpeedOfSoundUncertainty { get; init; }

    /// <summary>The temperature that this speed stands for, where a taped distance told it; else null.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? TemperatureC { get; init; }

    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? TemperatureUncertaintyC { get; init; }

    /// <summary>The floor below the array, from the height of hands: rough.</summary>
    public double? FloorM { get; init; }

    /// <summary>Microphones of the spots.</summary>
    public IReadOnlyList<StageSpot> Spots { get; init; } = [];

    public IReadOnlyList<StageClapEntry> Claps { get; init; } = [];

    /// <summary>Arrays beside the one at the origin.</summary>
    public IReadOnlyList<StageArrayEntry> Arrays { get; init; } = [];

    /// <summary>What each microphone heard of each clap against what the places say.</summary>
    public IReadOnlyList<StageClosure> Closures { get; init; } = [];

    /// <summary>Whom each microphone hears, how late and how loud.</summary>
    public IReadOnlyList<StageBleed> Bleed { get; init; } = [];

    /// <summary>What does not close, in words; empty where all does.</summary>
    public IReadOnlyList<string> Concerns { get; init; } = [];

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Where the microphone of a spot is.</summary>
public sealed record StageSpot
{
    public string Id { get; init; } = "";

    /// <summary>x front, y left, z up.</summary>
    public IReadOnlyList<double> PositionM { get; init; } = [];

    /// <summary>xx, xy, xz, yy, yz, zz.</summary>
    public IReadOnlyList<double> CovarianceM2 { get; init; } = [];

    /// <summary>Claps that were made at it.</summary>
    public int OwnClaps { get; init; }

    /// <summary>Claps of others that it heard.</summary>
    public int OtherClaps { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Where a clap was made.</summary>
public sealed record StageClapEntry
{
    public double TimeSeconds { get; init; }

    /// <summary>null where it belongs to none.</summary>
    public string? Spot { get; init; }

    public IReadOnlyList<double> PositionM { get; init; } = [];

    public IReadOnlyList<double> CovarianceM2 { get; init; } = [];

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>Where another array is, and how it is turned against what its mount says.</summary>
public sealed record StageArrayEntry
{
    public string Id { get; init; } = "";

    public IReadOnlyList<double> PositionM { get; init; } = [];

    public IReadOnlyList<double> CovarianceM2 { get; init; } = [];

    /// <summary>The mount that its directions ask for; what the session states is not changed.</summary>
    public MountEntry Mount { get; init; } = new();

    /// <summary>Between the stated mount and that one.</summary>
    public double TurnDeg { get; init; }

    public double TurnUncertaintyDeg { get; init; }

    /// <summary>"hangs head down" and the like; null where it stands as stated.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Note { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>One clap at one microphone.</summary>
public sealed record StageClosure
{
    /// <summary>Which clap, by its time.</summary>
    public double TimeSeconds { get; init; }

    /// <summary>A spot or an array.</summary>
    public string Microphone { get; init; } = "";

    /// <summary>Heard less expected; positive: later than the way explains.</summary>
    public double ResidualMs { get; init; }

    /// <summary>False: it does not close, and was left out.</summary>
    public bool Used { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>What one microphone hears of one player, both as recorded, without the session's delays.</summary>
public sealed record StageBleed
{
    /// <summary>By its spot.</summary>
    public string Player { get; init; } = "";

    /// <summary>A spot or an array.</summary>
    public string Microphone { get; init; } = "";

    /// <summary>How much later than the player's own spot.</summary>
    public double LaterMs { get; init; }

    /// <summary>Direct sound over that in the player's own spot; null where it was not heard and only geometry tells the time.</summary>
    public double? LevelDb { get; init; }

    /// <summary>How far apart the two stand in the mix once both are lined up; null for an array, or without delays.</summary>
    public double? AlignedMs { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
