using System.Buffers.Binary;

namespace CaptureProc.Wav.Metadata;

/// <summary>The time of day in a bext chunk.</summary>
/// <remarks>Source: EBU Tech 3285, offsets as in libsndfile's structure: TimeReferenceLow at 338, TimeReferenceHigh at 342.</remarks>
internal static class BroadcastTime
{
    private const int TimeReferenceOffset = 338;

    public static long? Read(byte[]? chunk) => chunk is null || chunk.Length < TimeReferenceOffset + 8
        ? null
        : BinaryPrimitives.ReadInt64LittleEndian(chunk.AsSpan(TimeReferenceOffset));

    /// <summary>The same chunk with another time.</summary>
    public static byte[] With(byte[] chunk, long timeReferenceFrames)
    {
        if (chunk.Length < TimeReferenceOffset + 8)
            return chunk;
        byte[] changed = [.. chunk];
        BinaryPrimitives.WriteInt64LittleEndian(changed.AsSpan(TimeReferenceOffset), timeReferenceFrames);
        return changed;
    }
}
