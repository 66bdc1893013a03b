using System.Buffers.Binary;
using System.Text;

namespace CaptureProc.Wav.Riff;

/// <summary>Walks the chunks of a WAV file: RIFF, or RF64 and BW64 beyond 4 GB.</summary>
/// <remarks>
/// The walk is our own because the library's reader knows no BW64 and silently shortens a truncated recording, which is the one
/// fault of a take that must be said aloud. It ends where chunks end: at bytes that are no chunk's head, or at a length that the
/// file does not hold. Source: EBU Tech 3306 (RF64), ITU-R BS.2088 (BW64), as the EBU's libbw64 reads them.
/// </remarks>
internal static class RiffReader
{
    /// <summary>A length that was never filled in: 0xFFFFFFFF without a ds64 that says more.</summary>
    public const long Open = -1;

    // 0xFFFFFFFF means "see ds64"; in a plain RIFF file it is what programs write that did not know the length (a pipe).
    private const uint NotHere = 0xFFFFFFFF;

    private const int HeadBytes = 8;
    private const int MaxLongSizesBytes = 4096;

    // A take has a dozen. A file made to hold millions must not keep anybody waiting.
    private const int MaxChunks = 4096;

    /// <param name="read">Reads so many bytes from an offset, all of them inside the file.</param>
    /// <param name="fileBytes">Length of the file.</param>
    /// <param name="isPlain">Whether the form is RIFF, without 64-bit sizes.</param>
    public static List<RiffChunk> ReadChunks(Func<long, int, byte[]> read, long fileBytes, out bool isPlain)
    {
        var head = fileBytes >= 12 ? read(0, 12) : [];
        var form = head.Length == 12 ? Id(head) : "";
        if (form is not ("RIFF" or "RF64" or "BW64") || Id(head.AsSpan(8)) != "WAVE")
            throw new InvalidDataException("is no WAV file; give WAV, RF64 or BW64, or AIFF, CAF, Wave64 or FLAC");

        isPlain = form == "RIFF";
        var longSizes = new Dictionary<string, long>();
        var chunks = new List<RiffChunk>();
        Walk(read, fileBytes, 12, longSizes, isPlain, chunks);
        return chunks;
    }

    /// <summary>Whether nothing but chunks stands from here to the end of the file (or a known one that was cut short).</summary>
    public static bool IsChunksToTheEnd(Func<long, int, byte[]> read, long fileBytes, long offset)
    {
        var chunks = new List<RiffChunk>();
        return Walk(read, fileBytes, offset, [], isPlain: true, chunks) >= fileBytes - 1 && chunks.Count > 0;
    }

    /// <summary>Adds the chunks that are there; returns where the walk ended.</summary>
    private static long Walk(Func<long, int, byte[]> read, long fileBytes, long offset, Dictionary<string, long> longSizes, bool isPlain, List<RiffChunk> chunks)
    {
        while (offset >= 0 && offset + HeadBytes <= fileBytes && chunks.Count < MaxChunks)
        {
            var header = read(offset, HeadBytes);
            if (!IsId(header))
                break;
            var id = Id(header);
            long size = BinaryPrimitives.ReadUInt32LittleEndian(header.AsSpan(4));
            if (id == "ds64")
                ReadLongSizes(read(offset + HeadBytes, (int)Math.Min(size, Math.Min(fileBytes - offset - HeadBytes, MaxLongSizesBytes))), longSizes);
            if (size == NotHere)
                size = isPlain ? Open : longSizes.GetValueOrDefault(id, Open);
            chunks.Add(new RiffChunk(id, offset + HeadBytes, size));
            // A length beyond the end is that of a file cut short: whatever follows is not here.
            if (size < 0 || size > fileBytes - offset - HeadBytes)
                return fileBytes;
            offset += HeadBytes + size + (size & 1);
        }
        return Math.Min(offset, fileBytes);
    }

    // ds64: riffSize, dataSize, sampleCount (u64 each), then a table of (id, u64 size).
    private static void ReadLongSizes(byte[] contents, Dictionary<string, long> sizes)
    {
        if (contents.Length >= 24)
            sizes["data"] = BinaryPrimitives.ReadInt64LittleEndian(contents.AsSpan(8));
        var rows = contents.Length >= 28 ? BinaryPrimitives.ReadUInt32LittleEndian(contents.AsSpan(24)) : 0;
        for (var row = 0; row < rows && 28 + 12 * (row + 1) <= contents.Length; row++)
        {
            var at = contents.AsSpan(28 + 12 * row);
            sizes[Id(at)] = BinaryPrimitives.ReadInt64LittleEndian(at[4..]);
        }
    }

    // Four characters of ASCII: zeros of a preallocated file, and nearly all audio, are none.
    private static bool IsId(ReadOnlySpan<byte> bytes) => !bytes[..4].ContainsAnyExceptInRange((byte)0x20, (byte)0x7E);

    private static string Id(ReadOnlySpan<byte> bytes) => Encoding.Latin1.GetString(bytes[..4]);
}
