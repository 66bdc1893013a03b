using System.Text.Json;
using CaptureProc.Session.Json;

namespace CaptureProc.Session;

/// <summary>A session as text: UTF-8 JSON, indented, and back.</summary>
public static class SessionText
{
    public static byte[] Format(SessionDocument document)
    {
        ArgumentNullException.ThrowIfNull(document);
        using var stream = new MemoryStream();
        JsonSerializer.Serialize(stream, document, SessionJson.Published.SessionDocument);
        stream.WriteByte((byte)'\n');
        return stream.ToArray();
    }

    /// <summary>Reads a session, or says in one line why it is none.</summary>
    /// <param name="text">UTF-8, with or without a byte order mark.</param>
    /// <param name="name">What the messages call it: the file's name.</param>
    public static SessionDocument Parse(ReadOnlySpan<byte> text, string name)
    {
        if (text.StartsWith("\uFEFF"u8))
            text = text[3..];
        try
        {
            CheckHead(text, name);
            var document = JsonSerializer.Deserialize(text, SessionJson.Published.SessionDocument)!;
            SessionRules.Check(document, name);
            return document;
        }
        catch (JsonException e)
        {
            throw new UnusableInputException("session-damaged",
                $"{name}: is damaged{Where(e)}; it is left as it is: mend it there or take a copy from before", e);
        }
    }

    // Before the whole: a newer file may differ anywhere, and must not be called damaged for it.
    private static void CheckHead(ReadOnlySpan<byte> text, string name)
    {
        var reader = new Utf8JsonReader(text, new JsonReaderOptions { AllowTrailingCommas = true });
        using var head = JsonDocument.ParseValue(ref reader);
        if (reader.Read())
            throw new JsonException("text after the end", null, null, null);
        if (head.RootElement.ValueKind != JsonValueKind.Object
            || !head.RootElement.TryGetProperty("format", out var format)
            || format.ValueKind != JsonValueKind.String
            || format.GetString() != SessionDocument.FormatName)
            throw new UnusableInputException("not-a-session",
                $"{name}: is no session file (it does not say \"format\": \"{SessionDocument.FormatName}\"); give the file that 'captureproc start' wrote");
        if (!head.RootElement.TryGetProperty("version", out var number) || number.ValueKind != JsonValueKind.Number
            || !number.TryGetInt32(out var version) || version < 1)
            throw new UnusableInputException("session-damaged",
                $"{name}: is damaged: \"version\" is missing or no whole number from 1; it is left as it is");
        if (version > SessionDocument.CurrentVersion)
            throw new UnusableInputException("session-newer",
                $"{name}: was written by a newer version (file version {version}, this program reads up to {SessionDocument.CurrentVersion}); it is left as it is: update this program");
    }

    private static string Where(JsonException e)
    {
        var member = e.Path?.TrimStart('$', '.');
        var line = e.LineNumber is { } l ? $" in line {l + 1}" : "";
        return string.IsNullOrEmpty(member) ? line : $"{line}, at {member}";
    }
}
