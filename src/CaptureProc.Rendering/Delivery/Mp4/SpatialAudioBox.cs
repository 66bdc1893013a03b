using System.Buffers.Binary;

namespace CaptureProc.Rendering.Delivery.Mp4;

/// <summary>The box that says a sound track of an MP4 or MOV file is a sound field.</summary>
/// <remarks>
/// Big-endian: u32 size, "SA3D", u8 version 0, u8 type 0 (periphonic), u32 order, u8 channel ordering 0 (ACN),
/// u8 normalisation 0 (SN3D), u32 channels, then for every channel of the track the ACN number that it carries, u32 each.
/// Source: Spatial Audio RFC (draft), section "Spatial Audio Box (SA3D)".
/// </remarks>
public static class SpatialAudioBox
{
    public static byte[] ForField(int order)
    {
        var channels = (order + 1) * (order + 1);
        var box = new byte[20 + 4 * channels];
        BinaryPrimitives.WriteInt32BigEndian(box, box.Length);
        "SA3D"u8.CopyTo(box.AsSpan(4));
        BinaryPrimitives.WriteInt32BigEndian(box.AsSpan(10), order);
        BinaryPrimitives.WriteInt32BigEndian(box.AsSpan(16), channels);
        for (var acn = 0; acn < channels; acn++)
            BinaryPrimitives.WriteInt32BigEndian(box.AsSpan(20 + 4 * acn), acn);
        return box;
    }
}
