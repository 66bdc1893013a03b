using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session.Json;

/// <summary>Points in time as <c>2026-05-03T10:12:00Z</c>: UTC, whole seconds; any ISO 8601 form is read.</summary>
internal sealed class UtcSecondsConverter : JsonConverter<DateTimeOffset>
{
    public override DateTimeOffset Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options)
    {
        if (reader.TokenType == JsonTokenType.String && DateTimeOffset.TryParse(reader.GetString(), CultureInfo.InvariantCulture,
                DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal, out var value))
            return value;
        throw new JsonException("a point in time such as \"2026-05-03T10:12:00Z\" is expected here");
    }

    public override void Write(Utf8JsonWriter writer, DateTimeOffset value, JsonSerializerOptions options) =>
        writer.WriteStringValue(value.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture));
}
