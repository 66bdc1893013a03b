using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>An array geometry to start from, named by what it is: radius, pattern, mount, order of capsules.</summary>
/// <remarks>The form of the files in <c>presets/</c>: JSON with the members of an array entry in the session file.</remarks>
public sealed record Preset
{
    public const string FormatName = "captureproc-preset";

    public string Format { get; init; } = FormatName;

    public int Version { get; init; } = 1;

    public string Name { get; init; } = "";

    public string Description { get; init; } = "";

    public IReadOnlyList<CapsuleEntry> Capsules { get; init; } = [];

    public double RadiusMm { get; init; }

    public double Pattern { get; init; }

    public MountEntry Mount { get; init; } = new();

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
