using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>How the room dies away, as the claps of the slate told it (ISO 3382-1, within what claps allow).</summary>
public sealed record RoomEntry
{
    /// <summary>Mid frequencies; null where the background hides the decay.</summary>
    public double? ReverberationSeconds { get; init; }

    /// <summary>Standard deviation of the former.</summary>
    public double? UncertaintySeconds { get; init; }

    /// <summary>Early decay time, mid frequencies.</summary>
    public double? EdtSeconds { get; init; }

    /// <summary>Energy of the first 80 ms over the rest, mid frequencies.</summary>
    public double? C80Db { get; init; }

    /// <summary>How many claps went into it.</summary>
    public int Claps { get; init; }

    public IReadOnlyList<RoomBand> Bands { get; init; } = [];

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>One octave of it; null where the claps do not allow a figure.</summary>
public sealed record RoomBand
{
    /// <summary>Nominal centre.</summary>
    public double FrequencyHz { get; init; }

    public double? EdtSeconds { get; init; }

    public double? T20Seconds { get; init; }

    public double? T30Seconds { get; init; }

    public double? C80Db { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
