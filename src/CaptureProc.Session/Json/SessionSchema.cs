using System.Globalization;
using System.Text.Json;

namespace CaptureProc.Session.Json;

/// <summary>Holds a session against the published schema: nothing missing, nothing null that may not be, every number in its range.</summary>
/// <remarks>
/// The schema itself is read, so that what is published and what is enforced cannot part ways. Of JSON Schema (draft 2020-12) it
/// knows what the schema uses for that: required, type, properties, items, $ref, anyOf with null, minimum, maximum, exclusiveMinimum.
/// What spans several members is left to <see cref="SessionRules"/>. Thread: [any].
/// </remarks>
internal static class SessionSchema
{
    private static readonly Lazy<JsonElement> Schema = new(ReadSchema);

    /// <summary>Refuses a member that is missing, or null where it may not be.</summary>
    public static void RequireMembers(JsonElement session, string name) => Walk(session, Schema.Value, "", (member, value, schema) =>
    {
        if (value.ValueKind == JsonValueKind.Null && !AllowsNull(schema))
            throw Damaged(name, $"{member} is null");
        if (value.ValueKind != JsonValueKind.Object || !schema.TryGetProperty("required", out var required))
            return;
        foreach (var missing in required.EnumerateArray())
            if (!value.TryGetProperty(missing.GetString()!, out _))
                throw Damaged(name, $"{Join(member, missing.GetString()!)} is missing");
    });

    /// <summary>Refuses a number out of the range that the schema states.</summary>
    public static void RequireRanges(JsonElement session, string name) => Walk(session, Schema.Value, "", (member, value, schema) =>
    {
        if (value.ValueKind != JsonValueKind.Number)
            return;
        var number = value.GetDouble();
        var (least, above, most) = (Bound(schema, "minimum"), Bound(schema, "exclusiveMinimum"), Bound(schema, "maximum"));
        if (double.IsFinite(number) && !(number < least) && !(number <= above) && !(number > most))
            return;
        throw new UnusableInputException("session-invalid", string.Create(CultureInfo.InvariantCulture,
            $"{name}: {member} is {value.GetRawText()}; it has to be {Range(least, above, most)}"));
    });

    private static void Walk(JsonElement value, JsonElement schema, string member, Action<string, JsonElement, JsonElement> check)
    {
        if (IsNullOr(ref schema, value))
            return;
        schema = Resolve(schema);
        check(member, value, schema);
        if (value.ValueKind == JsonValueKind.Object && schema.TryGetProperty("properties", out var properties))
        {
            foreach (var property in properties.EnumerateObject())
                if (value.TryGetProperty(property.Name, out var inner))
                    Walk(inner, property.Value, Join(member, property.Name), check);
        }
        else if (value.ValueKind == JsonValueKind.Array && schema.TryGetProperty("items", out var items))
        {
            var index = 0;
            foreach (var item in value.EnumerateArray())
                Walk(item, items, $"{member}[{index++}]", check);
        }
    }

    private static JsonElement Resolve(JsonElement schema) => schema.TryGetProperty("$ref", out var reference)
        ? Schema.Value.GetProperty("$defs").GetProperty(reference.GetString()!["#/$defs/".Length..])
        : schema;

    // The schema's choices are all "null or this": what is there and not null has to be this.
    private static bool IsNullOr(ref JsonElement schema, JsonElement value)
    {
        if (!schema.TryGetProperty("anyOf", out var choices))
            return false;
        schema = choices.EnumerateArray().First(c => c.TryGetProperty("$ref", out _));
        return value.ValueKind == JsonValueKind.Null;
    }

    private static bool AllowsNull(JsonElement schema) =>
        schema.TryGetProperty("type", out var type)
            ? type.ValueKind == JsonValueKind.Array && type.EnumerateArray().Any(t => t.ValueEquals("null"))
            : !schema.TryGetProperty("enum", out var values) || values.EnumerateArray().Any(v => v.ValueKind == JsonValueKind.Null);

    private static double Bound(JsonElement schema, string word) => schema.TryGetProperty(word, out var bound) ? bound.GetDouble() : double.NaN;

    private static string Range(double least, double above, double most) => (double.IsNaN(least), double.IsNaN(above), double.IsNaN(most)) switch
    {
        (false, _, false) => string.Create(CultureInfo.InvariantCulture, $"{least} to {most}"),
        (false, _, true) => string.Create(CultureInfo.InvariantCulture, $"{least} or more"),
        (true, false, false) => string.Create(CultureInfo.InvariantCulture, $"more than {above}, at most {most}"),
        (true, false, true) => string.Create(CultureInfo.InvariantCulture, $"more than {above}"),
        (true, true, false) => string.Create(CultureInfo.InvariantCulture, $"{most} or less"),
        _ => "a number that a computer can hold",
    };

    private static string Join(string member, string name) => member.Length == 0 ? name : $"{member}.{name}";

    private static UnusableInputException Damaged(string name, string what) => new("session-damaged",
        $"{name}: is damaged: {what}; it is left as it is: mend it there or take a copy from before");

    private static JsonElement ReadSchema()
    {
        using var stream = typeof(SessionSchema).Assembly.GetManifestResourceStream("session.schema.json")!;
        using var document = JsonDocument.Parse(stream);
        return document.RootElement.Clone();
    }
}
