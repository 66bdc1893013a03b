using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>The air in the hall.</summary>
public sealed record AirEntry
{
    public double TemperatureC { get; init; } = 20;

    /// <summary>Metres a second. This value is used; the temperature is kept as the reason for it.</summary>
    public double SpeedOfSound { get; init; } = 343.2;

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
