using System.Text.Json;
using CaptureProc.Session.Json;

namespace CaptureProc.Session;

/// <summary>A session as text: UTF-8 JSON, indented, and back.</summary>
public static class SessionText
{
    // The format stands first where a program wrote the file; by hand it may come to stand behind the rig.
    private const int HeadBytes = 1 << 16;

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
            var reader = new Utf8JsonReader(text, new JsonReaderOptions { AllowTrailingCommas = true });
            using var whole = JsonDocument.ParseValue(ref reader);
            if (reader.Read())
                throw new JsonException("text after the end", null, null, null);
            CheckHead(whole.RootElement, name);
            SessionSchema.RequireMembers(whole.RootElement, name);
            var document = JsonSerializer.Deserialize(text, SessionJson.Published.SessionDocument)!;
            SessionRules.Check(document, name);
            SessionSchema.RequireRanges(whole.RootElement, name);
            return document;
        }
        catch (JsonException e)
        {
            throw new UnusableInputException("session-damaged",
                $"{name}: is damaged{Where(e)}; it is left as it is: mend it there or take a copy from before", e);
        }
    }

    /// <summary>Whether a file is a session, in whatever state; cheap, as only text that begins as one is looked at.</summary>
    internal static bool IsSession(string path)
    {
        if (FileIdentity.Of(path)?.Kind != FileKind.File)
            return false;
        try
        {
            using var stream = SharedFile.Open(path);
            var head = new byte[HeadBytes];
            var text = head.AsSpan(0, stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false));
            return text.TrimStart(" \t\r\n\uFEFF"u8).StartsWith("{"u8) && text.IndexOf("\"captureproc-session\""u8) >= 0;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // What cannot be read cannot be replaced either, and that refusal says more.
            return false;
        }
    }

    // Before the whole: a newer file may differ anywhere, and must not be called damaged for it.
    private static void CheckHead(JsonElement root, string name)
    {
        if (root.ValueKind != JsonValueKind.Object
            || !root.TryGetProperty("format", out var format)
            || format.ValueKind != JsonValueKind.String
            || format.GetString() != SessionDocument.FormatName)
            throw new UnusableInputException("not-a-session",
                $"{name}: is no session file (it does not say \"format\": \"{SessionDocument.FormatName}\"); give the file that 'captureproc start' wrote");
        if (!root.TryGetProperty("version", out var number) || number.ValueKind != JsonValueKind.Number
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
