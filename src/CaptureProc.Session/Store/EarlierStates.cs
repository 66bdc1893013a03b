using System.Buffers.Binary;

namespace CaptureProc.Session;

/// <summary>What a session was before its last changes: a file beside it, <c>.NAME.undo</c>.</summary>
/// <remarks>
/// Thread: only whoever holds the session's lock. Each state is the session's text as it was, with its length in four bytes
/// before it, the oldest first. A state is kept before the session is written, so a run that is killed between the two leaves
/// one state that is the session itself; it is passed over. A damaged file of states costs the undoing and never the session.
/// </remarks>
internal static class EarlierStates
{
    /// <summary>How many changes can be taken back.</summary>
    public const int Kept = 20;

    private const int LengthBytes = 4;

    public static string PathFor(string sessionPath)
    {
        var full = Path.GetFullPath(sessionPath);
        return Path.Combine(Path.GetDirectoryName(full) ?? ".", $".{Path.GetFileName(full)}.undo");
    }

    public static void Keep(string sessionPath, byte[] text)
    {
        var states = Read(sessionPath);
        if (states.Count > 0 && states[^1].AsSpan().SequenceEqual(text))
            return;
        Write(sessionPath, [.. states.TakeLast(Kept - 1), text]);
    }

    /// <summary>The last state that is another than the session; null where there is none.</summary>
    public static byte[]? Last(string sessionPath, byte[] text) => Read(sessionPath).FindLast(s => !s.AsSpan().SequenceEqual(text));

    /// <summary>Forgets a state, and what came after it.</summary>
    public static void Drop(string sessionPath, byte[] state)
    {
        var states = Read(sessionPath);
        var at = states.FindLastIndex(s => s.AsSpan().SequenceEqual(state));
        if (at < 0)
            return;
        if (at == 0)
            File.Delete(PathFor(sessionPath));
        else
            Write(sessionPath, states[..at]);
    }

    /// <summary>Forgets all of them: they are those of another session that once had the name.</summary>
    public static void Forget(string sessionPath) => File.Delete(PathFor(sessionPath));

    private static void Write(string sessionPath, List<byte[]> states)
    {
        using var file = PendingFile.CreateAnything(PathFor(sessionPath), replace: true);
        file.Guard(stream =>
        {
            Span<byte> length = stackalloc byte[LengthBytes];
            foreach (var state in states)
            {
                BinaryPrimitives.WriteInt32LittleEndian(length, state.Length);
                stream.Write(length);
                stream.Write(state);
            }
        });
        file.Complete(forceToDisk: true);
    }

    private static List<byte[]> Read(string sessionPath)
    {
        var states = new List<byte[]>();
        var path = PathFor(sessionPath);
        if (FileIdentity.Of(path)?.Kind != FileKind.File)
            return states;
        var bytes = SharedFile.ReadAllBytes(path).AsSpan();
        while (bytes.Length >= LengthBytes && BinaryPrimitives.ReadInt32LittleEndian(bytes) is var length and >= 0 && length <= bytes.Length - LengthBytes)
        {
            states.Add(bytes.Slice(LengthBytes, length).ToArray());
            bytes = bytes[(LengthBytes + length)..];
        }
        return states;
    }
}
