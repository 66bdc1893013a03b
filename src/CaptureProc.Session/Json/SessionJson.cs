using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session.Json;

/// <summary>The serialiser of session and preset files: generated at compile time, so it survives native compilation.</summary>
[JsonSourceGenerationOptions(JsonSerializerDefaults.General, GenerationMode = JsonSourceGenerationMode.Metadata)]
[JsonSerializable(typeof(SessionDocument))]
[JsonSerializable(typeof(Preset))]
internal sealed partial class SessionJson : JsonSerializerContext
{
    /// <summary>The context with the options of the published format; use this one, not <c>Default</c>.</summary>
    public static SessionJson Published { get; } = new(new JsonSerializerOptions
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        WriteIndented = true,
        NewLine = "\n",
        RespectNullableAnnotations = true,
        // Titles and names stay readable: ü, not \u00FC. The file is never pasted into a web page.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
        // A file edited by hand may carry a comma too many; that is no damage.
        AllowTrailingCommas = true,
        Converters = { new UtcSecondsConverter() },
    });
}
