using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>One click of the slate as the array heard it.</summary>
public sealed record ClickEntry
{
    public double TimeSeconds { get; init; }

    /// <summary>The spot at which it was made; null where it belongs to none.</summary>
    public string? Spot { get; init; }

    /// <summary>The array that heard it; null for the main array.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Array { get; init; }

    public double? SnrDb { get; init; }

    public double? DirectToReverberantDb { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
