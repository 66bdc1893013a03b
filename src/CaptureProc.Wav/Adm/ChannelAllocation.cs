using System.Buffers.Binary;
using System.Text;

namespace CaptureProc.Wav.Adm;

/// <summary>The <c>chna</c> chunk: which track of the file is which channel of which field.</summary>
/// <remarks>
/// Layout: u16 tracks, u16 UIDs, then rows of 40 bytes: u16 track from 1, 12 characters UID, 14 track reference, 11 pack
/// reference, one byte of padding. Source: ITU-R BS.2088, as the EBU's libbw64 and ADM Renderer write it.
/// </remarks>
public static class ChannelAllocation
{
    private const int HeadBytes = 4;
    private const int RowBytes = 40;

    /// <summary>A whole sound field on the first (order + 1)² tracks, in ACN order.</summary>
    public static byte[] ForField(int order)
    {
        var channels = (order + 1) * (order + 1);
        var chunk = new byte[HeadBytes + RowBytes * channels];
        BinaryPrimitives.WriteUInt16LittleEndian(chunk, (ushort)channels);
        BinaryPrimitives.WriteUInt16LittleEndian(chunk.AsSpan(2), (ushort)channels);
        for (var acn = 0; acn < channels; acn++)
        {
            var row = chunk.AsSpan(HeadBytes + RowBytes * acn, RowBytes);
            BinaryPrimitives.WriteUInt16LittleEndian(row, (ushort)(acn + 1));
            Encoding.ASCII.GetBytes(AdmIds.TrackUid(acn + 1), row.Slice(2, 12));
            Encoding.ASCII.GetBytes(AdmIds.Track(acn), row.Slice(14, 14));
            Encoding.ASCII.GetBytes(AdmIds.Pack(order), row.Slice(28, 11));
        }
        return chunk;
    }
}
