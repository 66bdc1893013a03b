using System.Buffers.Binary;
using System.Text;

namespace CaptureProc.Wav.Riff;

/// <summary>Walks the chunks of a WAV file: RIFF, or RF64 and BW64 beyond 4 GB.</summary>
/// <remarks>
/// The walk is our own because the library's reader knows no BW64 and silently shortens a truncated recording, which is the one
/// fault of a take that must be said aloud. Source: EBU Tech 3306 (RF64), ITU-R BS.2088 (BW64), as the EBU's libbw64 reads them.
/// </remarks>
internal static class RiffReader
{
    // 0xFFFFFFFF means "see ds64"; in a plain RIFF file it is what programs write that did not know the length (a pipe).
    private const uint NotHere = 0xFFFFFFFF;

    public static List<RiffChunk> ReadChunks(Func<long, int, byte[]> read, long fileBytes)
    {
        var head = fileBytes >= 12 ? read(0, 12) : [];
        var form = head.Length == 12 ? Id(head) : "";
        if (form is not ("RIFF" or "RF64" or "BW64") || Id(head.AsSpan(8)) != "WAVE")
            throw new InvalidDataException("is no WAV file; give a WAV, RF64 or BW64 file");

        var chunks = new List<RiffChunk>();
        var longSizes = new Dictionary<string, long>();
        var offset = 12L;
        while (offset + 8 <= fileBytes)
        {
            var header = read(offset, 8);
            var id = Id(header);
            long size = BinaryPrimitives.ReadUInt32LittleEndian(header.AsSpan(4));
            if (id == "ds64")
                longSizes = ReadLongSizes(read(offset + 8, (int)Math.Min(size, Math.Min(fileBytes - offset - 8, 4096))));
            if (size == NotHere)
                size = form == "RIFF" ? fileBytes - offset - 8 : longSizes.GetValueOrDefault(id, -1);
            if (size < 0)
                throw new InvalidDataException($"is damaged: the length of its '{id.Trim()}' chunk is missing; repair it with the recorder that made it");
            chunks.Add(new RiffChunk(id, offset + 8, size));
            offset += 8 + size + (size & 1);
        }
        return chunks;
    }

    // ds64: riffSize, dataSize, sampleCount (u64 each), then a table of (id, u64 size).
    private static Dictionary<string, long> ReadLongSizes(byte[] contents)
    {
        var sizes = new Dictionary<string, long>();
        if (contents.Length >= 24)
            sizes["data"] = BinaryPrimitives.ReadInt64LittleEndian(contents.AsSpan(8));
        var rows = contents.Length >= 28 ? BinaryPrimitives.ReadUInt32LittleEndian(contents.AsSpan(24)) : 0;
        for (var row = 0; row < rows && 28 + 12 * (row + 1) <= contents.Length; row++)
        {
            var at = contents.AsSpan(28 + 12 * row);
            sizes[Id(at)] = BinaryPrimitives.ReadInt64LittleEndian(at[4..]);
        }
        return sizes;
    }

    private static string Id(ReadOnlySpan<byte> bytes) => Encoding.Latin1.GetString(bytes[..4]);
}
