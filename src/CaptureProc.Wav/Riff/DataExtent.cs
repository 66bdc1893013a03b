namespace CaptureProc.Wav.Riff;

/// <summary>Where the audio of a file really ends, whatever its header claims.</summary>
/// <param name="Bytes">Length of the audio.</param>
/// <param name="Fault">What the header says wrongly about it.</param>
/// <remarks>
/// A recorder writes the length last. After a power cut it is 0, or that of the last time it was brought up to date, and the
/// audio goes on behind it. Some recorders also claim the disk's room beforehand, so zeros stand behind the audio.
/// </remarks>
internal readonly record struct DataExtent(long Bytes, DataFault Fault)
{
    private const int BlockBytes = 1 << 20;

    // Enough to hit audio between silences, few enough to cost milliseconds on a spinning disk's file of any length.
    private const int Probes = 256;
    private const int ProbeBytes = 512;

    /// <param name="read">Reads so many bytes from an offset, all of them inside the file.</param>
    /// <param name="fileBytes">Length of the file.</param>
    /// <param name="data">The audio as the header describes it.</param>
    /// <param name="isPlain">Whether the form is RIFF, where an open length is what a pipe leaves.</param>
    public static DataExtent Find(Func<long, int, byte[]> read, long fileBytes, RiffChunk data, bool isPlain)
    {
        var there = fileBytes - data.Offset;
        if (data.DeclaredBytes == RiffReader.Open && isPlain)
            return new DataExtent(there, DataFault.None);
        if (data.DeclaredBytes > there)
            return new DataExtent(there, DataFault.CutShort);
        var declared = Math.Max(0, data.DeclaredBytes);
        var behind = data.Offset + declared;
        if (behind >= fileBytes - 1 || IsRestInOrder(read, fileBytes, behind) || IsSilent(read, behind, fileBytes))
            return new DataExtent(declared, DataFault.None);
        return new DataExtent(Math.Max(declared, LastSound(read, behind, fileBytes) - data.Offset), DataFault.LengthTooShort);
    }

    // Not every program adds the byte that makes an odd length even.
    private static bool IsRestInOrder(Func<long, int, byte[]> read, long fileBytes, long behind) =>
        RiffReader.IsChunksToTheEnd(read, fileBytes, behind + (behind & 1)) || RiffReader.IsChunksToTheEnd(read, fileBytes, behind);

    private static bool IsSilent(Func<long, int, byte[]> read, long from, long end)
    {
        var block = (int)Math.Min(BlockBytes, end - from);
        if (read(from, block).AsSpan().ContainsAnyExcept((byte)0))
            return false;
        for (var probe = 1; probe <= Probes && end - from > block; probe++)
        {
            var at = from + (long)((end - from - ProbeBytes) * ((double)probe / Probes));
            if (read(at, ProbeBytes).AsSpan().ContainsAnyExcept((byte)0))
                return false;
        }
        return true;
    }

    private static long LastSound(Func<long, int, byte[]> read, long from, long end)
    {
        while (end > from)
        {
            var block = (int)Math.Min(BlockBytes, end - from);
            var last = read(end - block, block).AsSpan().LastIndexOfAnyExcept((byte)0);
            if (last >= 0)
                return end - block + last + 1;
            end -= block;
        }
        return from;
    }
}

/// <summary>What a header says wrongly about the length of the audio.</summary>
internal enum DataFault
{
    None,

    /// <summary>The file ends before the audio does.</summary>
    CutShort,

    /// <summary>The audio goes on behind its end.</summary>
    LengthTooShort,
}
