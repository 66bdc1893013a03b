using System.Buffers.Binary;
using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Link;

/// <summary>A session link as a host's project keeps it: name, path, hash, and a complete copy of the values in use.</summary>
/// <remarks>
/// Bytes: four runs, each an int32 length (little-endian) and UTF-8 text: name, path, hash, session JSON (empty for none).
/// Read what is there: a short or damaged end leaves the rest empty, and a copy that no longer parses counts as none.
/// </remarks>
public sealed record SavedLink(string Name, string Path, string ContentHash, SessionDocument? Session)
{
    public static SavedLink None { get; } = new("", "", "", null);

    public byte[] ToBytes()
    {
        using var stream = new MemoryStream();
        Span<byte> length = stackalloc byte[4];
        foreach (var run in (ReadOnlySpan<byte[]>)[
            Encoding.UTF8.GetBytes(Name), Encoding.UTF8.GetBytes(Path), Encoding.UTF8.GetBytes(ContentHash),
            Session is null ? [] : SessionText.Format(Session)])
        {
            BinaryPrimitives.WriteInt32LittleEndian(length, run.Length);
            stream.Write(length);
            stream.Write(run);
        }
        return stream.ToArray();
    }

    public static SavedLink FromBytes(ReadOnlySpan<byte> bytes) => FromBytes(ref bytes);

    /// <summary>As above, and leaves what comes after the link.</summary>
    public static SavedLink FromBytes(ref ReadOnlySpan<byte> bytes)
    {
        var name = Encoding.UTF8.GetString(Next(ref bytes));
        var path = Encoding.UTF8.GetString(Next(ref bytes));
        var hash = Encoding.UTF8.GetString(Next(ref bytes));
        var text = Next(ref bytes);
        SessionDocument? session = null;
        if (!text.IsEmpty)
        {
            try
            {
                session = SessionText.Parse(text, name);
            }
            catch (UnusableInputException)
            {
                // A project must open whatever its bytes are; without a copy the link shows that the values are missing.
                return new SavedLink(name, path, "", null);
            }
        }
        return new SavedLink(name, path, hash, session);
    }

    private static ReadOnlySpan<byte> Next(ref ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length < 4)
        {
            bytes = [];
            return [];
        }
        var length = BinaryPrimitives.ReadInt32LittleEndian(bytes);
        bytes = bytes[4..];
        if (length < 0 || length > bytes.Length)
        {
            bytes = [];
            return [];
        }
        var run = bytes[..length];
        bytes = bytes[length..];
        return run;
    }
}
