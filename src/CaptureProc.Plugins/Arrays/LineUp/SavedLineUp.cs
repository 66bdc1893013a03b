using System.Buffers.Binary;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>A kept line-up in a host's project, behind the session link.</summary>
/// <remarks>
/// Bytes: int32 length (little-endian), then as many: four trims in dB, four uncertainties in dB, the tolerance in dB, each a float64.
/// A project from before there were line-ups ends earlier; what is short or no number reads as none.
/// </remarks>
internal static class SavedLineUp
{
    private const int Channels = LineUpParameters.Channels;
    private const int Bytes = (2 * Channels + 1) * sizeof(double);

    public static byte[] ToBytes(TrimSet? kept)
    {
        if (kept is null)
            return [];
        var bytes = new byte[sizeof(int) + Bytes];
        BinaryPrimitives.WriteInt32LittleEndian(bytes, Bytes);
        var at = sizeof(int);
        foreach (var value in (IEnumerable<double>)[.. kept.Db, .. kept.UncertaintyDb!, kept.ToleranceDb!.Value])
        {
            BinaryPrimitives.WriteDoubleLittleEndian(bytes.AsSpan(at), value);
            at += sizeof(double);
        }
        return bytes;
    }

    public static TrimSet? FromBytes(ReadOnlySpan<byte> bytes)
    {
        // A later version may append more.
        if (bytes.Length < sizeof(int) + Bytes || BinaryPrimitives.ReadInt32LittleEndian(bytes) < Bytes)
            return null;
        var values = new double[2 * Channels + 1];
        for (var i = 0; i < values.Length; i++)
            values[i] = BinaryPrimitives.ReadDoubleLittleEndian(bytes[(sizeof(int) + i * sizeof(double))..]);
        var isUsable = Array.TrueForAll(values, v => Math.Abs(v) <= LineUpParameters.LargestDifferenceDb) && values[^1] > 0;
        return isUsable
            ? LineUpTrims.Set(LineUpTrims.UsualName, LineUpTrims.FromPinkNoise, values[..Channels], values[Channels..^1], values[^1])
            : null;
    }
}
