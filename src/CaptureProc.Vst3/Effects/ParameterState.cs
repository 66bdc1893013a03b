using System.Buffers.Binary;
using System.Text;

namespace CaptureProc.Vst3.Effects;

/// <summary>What became of a state that a host handed back.</summary>
public enum StateCondition
{
    /// <summary>Read whole.</summary>
    Complete,

    /// <summary>Written by a newer version: what is known has been read, the rest skipped.</summary>
    Newer,

    /// <summary>Cut short: what was there has been read.</summary>
    Damaged,

    /// <summary>Not a state of this class, or nothing at all: everything is at its default.</summary>
    Foreign,
}

/// <summary>The bytes of a saved state.</summary>
/// <remarks>
/// Thread: [main]. Little-endian throughout:
/// four letters of the class, int32 version (1), int32 count of the bytes that follow;
/// int32 count of parameters, for each its uint32 id and its normalized value as float64;
/// int32 count of bytes of the effect's own, those bytes. A later version may append more.
/// A reader keeps the default for what is missing and skips ids that it does not know. It never refuses: a project has to
/// open, whatever wrote it.
/// </remarks>
internal static class ParameterState
{
    /// <summary>More than this is not read: a state is some kilobytes.</summary>
    public const int LimitBytes = 16 << 20;

    private const int Version = 1;
    private const int HeadBytes = 12;
    private const int PairBytes = 12;

    public static byte[] Write(EffectClass effect, ReadOnlySpan<double> normalized, ReadOnlySpan<byte> extra)
    {
        var body = 4 + normalized.Length * PairBytes + 4 + extra.Length;
        var bytes = new byte[HeadBytes + body];
        var rest = bytes.AsSpan();
        Encoding.ASCII.GetBytes(effect.StateMagic, rest[..4]);
        BinaryPrimitives.WriteInt32LittleEndian(rest[4..], Version);
        BinaryPrimitives.WriteInt32LittleEndian(rest[8..], body);
        BinaryPrimitives.WriteInt32LittleEndian(rest[12..], normalized.Length);
        rest = rest[16..];
        for (var i = 0; i < normalized.Length; i++, rest = rest[PairBytes..])
        {
            BinaryPrimitives.WriteUInt32LittleEndian(rest, effect.Parameters[i].Id);
            BinaryPrimitives.WriteDoubleLittleEndian(rest[4..], normalized[i]);
        }
        BinaryPrimitives.WriteInt32LittleEndian(rest, extra.Length);
        extra.CopyTo(rest[4..]);
        return bytes;
    }

    public static StateCondition Read(EffectClass effect, ReadOnlySpan<byte> bytes, out double[] normalized, out ReadOnlySpan<byte> extra)
    {
        normalized = new double[effect.Parameters.Count];
        for (var i = 0; i < normalized.Length; i++)
            normalized[i] = effect.Parameters[i].DefaultNormalized;
        extra = [];
        Span<byte> magic = stackalloc byte[4];
        Encoding.ASCII.GetBytes(effect.StateMagic, magic);
        if (bytes.Length < HeadBytes || !bytes[..4].SequenceEqual(magic))
            return StateCondition.Foreign;

        var condition = BinaryPrimitives.ReadInt32LittleEndian(bytes[4..]) > Version ? StateCondition.Newer : StateCondition.Complete;
        var body = BinaryPrimitives.ReadInt32LittleEndian(bytes[8..]);
        var rest = bytes[HeadBytes..];
        if (body >= 0 && body <= rest.Length)
            rest = rest[..body];
        else
            condition = StateCondition.Damaged;

        if (!TryReadCount(ref rest, out var pairs))
            return StateCondition.Damaged;
        for (var i = 0; i < pairs; i++, rest = rest[PairBytes..])
        {
            if (rest.Length < PairBytes)
                return StateCondition.Damaged;
            var index = effect.Parameters.IndexOf(BinaryPrimitives.ReadUInt32LittleEndian(rest));
            var value = BinaryPrimitives.ReadDoubleLittleEndian(rest[4..]);
            if (index >= 0 && !effect.Parameters[index].IsReadOnly && !effect.Parameters[index].IsAct && double.IsFinite(value))
                normalized[index] = Math.Clamp(value, 0, 1);
        }
        if (!TryReadCount(ref rest, out var extraLength) || extraLength > rest.Length)
            return StateCondition.Damaged;
        extra = rest[..extraLength];
        return condition;
    }

    private static bool TryReadCount(ref ReadOnlySpan<byte> rest, out int count)
    {
        count = rest.Length >= 4 ? BinaryPrimitives.ReadInt32LittleEndian(rest) : -1;
        rest = rest.Length >= 4 ? rest[4..] : [];
        return count >= 0;
    }
}
