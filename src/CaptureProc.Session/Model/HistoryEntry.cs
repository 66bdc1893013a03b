using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>A command that changed the session, and what it read.</summary>
public sealed record HistoryEntry
{
    public DateTimeOffset At { get; init; }

    public string Command { get; init; } = "";

    public IReadOnlyList<HistoryInput> Inputs { get; init; } = [];

    /// <summary>Whether the time stamps of the files were left aside.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool IgnoreStamps { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>A file that a command has read, by name and by content.</summary>
public sealed record HistoryInput
{
    public string File { get; init; } = "";

    /// <summary>64 hexadecimal digits in lower case.</summary>
    public string Sha256 { get; init; } = "";

    /// <summary>How it was joined to the file before it, where that was said: then (in time) or with (side by side).</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Joined { get; init; }

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
