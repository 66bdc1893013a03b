using System.Buffers.Binary;

namespace CaptureProc.Rendering.Delivery.Mp4;

/// <summary>Adds a box to the description of the sound in an MP4 or MOV file.</summary>
/// <remarks>
/// The description sits in moov/trak/mdia/minf/stbl/stsd. It grows, and with it every box around it. The moov box has to be the
/// last of the file, as our own muxing leaves it: then no sample moves and no table of offsets changes.
/// Source: ISO/IEC 14496-12 (boxes: u32 size, four characters; size 1 = a u64 follows, 0 = to the end).
/// </remarks>
public static class SampleDescription
{
    private static readonly string[] WayToDescription = ["mdia", "minf", "stbl", "stsd"];

    /// <summary>Appends <paramref name="box"/> to the first sound track's sample entry.</summary>
    public static void Append(Stream file, ReadOnlySpan<byte> box)
    {
        var (offset, length) = FindMovie(file);
        var movie = new byte[length];
        file.Position = offset;
        file.ReadExactly(movie);

        // Every box whose size has to grow, outermost first: moov, trak, mdia, minf, stbl, stsd, the entry itself.
        var around = PathToSoundEntry(movie);
        var entry = around[^1];
        foreach (var start in around)
        {
            var size = BinaryPrimitives.ReadInt32BigEndian(movie.AsSpan(start));
            BinaryPrimitives.WriteInt32BigEndian(movie.AsSpan(start), size + box.Length);
        }
        var end = entry + BinaryPrimitives.ReadInt32BigEndian(movie.AsSpan(entry)) - box.Length;
        file.Position = offset;
        file.Write(movie, 0, end);
        file.Write(box);
        file.Write(movie, end, movie.Length - end);
    }

    private static (long Offset, int Length) FindMovie(Stream file)
    {
        Span<byte> head = stackalloc byte[16];
        for (long at = 0; at + 8 <= file.Length;)
        {
            file.Position = at;
            file.ReadAtLeast(head, 8, throwOnEndOfStream: true);
            long size = BinaryPrimitives.ReadUInt32BigEndian(head);
            if (size == 1)
                size = BinaryPrimitives.ReadInt64BigEndian(head[8..]);
            else if (size == 0)
                size = file.Length - at;
            if (size < 8)
                break;
            if (head.Slice(4, 4).SequenceEqual("moov"u8))
                return at + size == file.Length
                    ? (at, checked((int)size))
                    : throw new InvalidDataException("The moov box is not the last of the file, so its samples would move.");
            at += size;
        }
        throw new InvalidDataException("The file has no moov box.");
    }

    private static List<int> PathToSoundEntry(ReadOnlySpan<byte> movie)
    {
        for (var track = 8; Next(movie, ref track, movie.Length, "trak") is { } trackStart;)
        {
            var path = new List<int> { 0, trackStart };
            var isSound = false;
            foreach (var name in WayToDescription)
            {
                var (from, to) = Contents(movie, path[^1]);
                if (name == "minf")
                    isSound = IsSoundHandler(movie, from, to);
                if (Next(movie, ref from, to, name) is not { } start)
                    break;
                path.Add(start);
            }
            if (!isSound || path.Count != 2 + WayToDescription.Length)
                continue;
            // stsd: version and flags, u32 count, then the entries; ours has one.
            path.Add(path[^1] + 16);
            return path;
        }
        throw new InvalidDataException("The file has no sound track.");
    }

    // hdlr: version and flags, u32 predefined, then the four characters of the handler.
    private static bool IsSoundHandler(ReadOnlySpan<byte> movie, int from, int to) =>
        Next(movie, ref from, to, "hdlr") is { } start && movie.Slice(start + 16, 4).SequenceEqual("soun"u8);

    private static (int From, int To) Contents(ReadOnlySpan<byte> movie, int start) =>
        (start + 8, start + BinaryPrimitives.ReadInt32BigEndian(movie[start..]));

    private static int? Next(ReadOnlySpan<byte> movie, ref int at, int to, string name)
    {
        while (at + 8 <= to)
        {
            var (start, size) = (at, BinaryPrimitives.ReadInt32BigEndian(movie[at..]));
            if (size < 8 || size > to - at)
                throw new InvalidDataException($"A box inside moov claims {size} bytes.");
            at += size;
            if (IsNamed(movie[start..], name))
                return start;
        }
        return null;
    }

    private static bool IsNamed(ReadOnlySpan<byte> box, string name)
    {
        for (var i = 0; i < 4; i++)
            if (box[4 + i] != name[i])
                return false;
        return true;
    }
}
