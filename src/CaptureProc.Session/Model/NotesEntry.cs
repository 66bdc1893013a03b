using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>What a person writes down beside the measured: place, people, preamplifiers, names of takes.</summary>
/// <remarks>Words for people; no program draws a conclusion from them. Which microphone stands where is noted at its array or spot.</remarks>
public sealed record NotesEntry
{
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Place { get; init; }

    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? People { get; init; }

    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Preamps { get; init; }

    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Remark { get; init; }

    public IReadOnlyList<TakeNote> Takes { get; init; } = [];

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

/// <summary>What is on a take.</summary>
public sealed record TakeNote
{
    /// <summary>The recording's file, without folders.</summary>
    public string File { get; init; } = "";

    public string Name { get; init; } = "";

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
