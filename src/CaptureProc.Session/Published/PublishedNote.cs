using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session.Published;

/// <summary>What stands in the published folder for a session: a note that says where the session file is.</summary>
/// <remarks>
/// A note and not a copy, so that what <c>measure</c> writes later reaches the plug-ins without publishing again.
/// </remarks>
internal sealed record PublishedNote
{
    public const string FormatName = "captureproc-published";
    public const int CurrentVersion = 1;

    public string Format { get; init; } = FormatName;

    public int Version { get; init; } = CurrentVersion;

    /// <summary>Full path of the session file.</summary>
    public string Session { get; init; } = "";

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}

[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, WriteIndented = true, NewLine = "\n")]
[JsonSerializable(typeof(PublishedNote))]
internal sealed partial class PublishedNoteJson : JsonSerializerContext;
