using System.Buffers.Binary;
using System.Globalization;
using System.Runtime.InteropServices;

namespace CaptureProc.Vst3.Abi;

/// <summary>How the sixteen bytes of an id are laid out in memory.</summary>
public enum TuidLayout
{
    /// <summary>Most significant byte first, as on Linux and macOS.</summary>
    BigEndian,

    /// <summary>As a COM GUID, as on Windows.</summary>
    Com,
}

/// <summary>A 16-byte id of an interface or a class.</summary>
/// <remarks>
/// The same id is written as four 32-bit words in every source, but its bytes in memory differ by platform; the text of
/// 32 hexadecimal digits is the same everywhere. Two halves of eight bytes compare fast; Pack 1, because the C type is an
/// array of char that may stand at any address.
/// Source: vst3_c_api.h, SDK 3.8.1 (TUID, INLINE_UID).
/// </remarks>
[StructLayout(LayoutKind.Sequential, Pack = 1)]
public readonly record struct Tuid
{
    private readonly ulong first;
    private readonly ulong second;

    public Tuid(uint a, uint b, uint c, uint d)
        : this(a, b, c, d, Here)
    {
    }

    public Tuid(uint a, uint b, uint c, uint d, TuidLayout layout)
    {
        // Both machines we build for (x64, arm64) are little-endian: the lowest byte of a word comes first in memory.
        var head = layout == TuidLayout.BigEndian
            ? ((ulong)a << 32) | b
            : Swap(a | ((ulong)(b >> 16) << 32) | ((ulong)(b & 0xFFFF) << 48));
        first = Swap(head);
        second = Swap(((ulong)c << 32) | d);
    }

    public static TuidLayout Here => OperatingSystem.IsWindows() ? TuidLayout.Com : TuidLayout.BigEndian;

    /// <summary>The 32 hexadecimal digits that hosts write into presets and module descriptions.</summary>
    public override string ToString() => ToString(Here);

    public string ToString(TuidLayout layout)
    {
        var head = Swap(first);
        if (layout == TuidLayout.Com)
            head = ((ulong)(uint)first << 32) | ((ulong)(ushort)(first >> 32) << 16) | (ushort)(first >> 48);
        return string.Create(CultureInfo.InvariantCulture, $"{head:X16}{Swap(second):X16}");
    }

    private static ulong Swap(ulong word) => BinaryPrimitives.ReverseEndianness(word);

    public static bool TryParse(ReadOnlySpan<char> text, out Tuid id)
    {
        id = default;
        if (text.Length != 32)
            return false;
        Span<uint> words = stackalloc uint[4];
        for (var i = 0; i < 4; i++)
            if (!uint.TryParse(text.Slice(8 * i, 8), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out words[i]))
                return false;
        id = new Tuid(words[0], words[1], words[2], words[3]);
        return true;
    }
}
