using System.Text;

namespace CaptureProc.Vst3.Com;

/// <summary>Text in the fixed fields and zero-ended strings of the interface.</summary>
/// <remarks>Thread: [any]. Written text is cut to what the field holds, always with a zero at its end.</remarks>
public static unsafe class NativeText
{
    /// <summary>Units of a String128, with the zero.</summary>
    public const int String128Length = 128;

    public static void Write(ReadOnlySpan<char> text, char* field, int length)
    {
        var count = Math.Min(text.Length, length - 1);
        // A pair of surrogates is not cut in the middle.
        if (count > 0 && count < text.Length && char.IsHighSurrogate(text[count - 1]))
            count--;
        text[..count].CopyTo(new Span<char>(field, length));
        field[count] = '\0';
    }

    public static void WriteUtf8(string text, byte* field, int length)
    {
        var target = new Span<byte>(field, length);
        target.Clear();
        Encoding.UTF8.GetEncoder().Convert(text, target[..^1], flush: true, out _, out _, out _);
    }

    public static string Read(char* field, int length) => new(Until(new ReadOnlySpan<char>(field, length), '\0'));

    public static string ReadUtf8(byte* field, int length) => Encoding.UTF8.GetString(Until(new ReadOnlySpan<byte>(field, length), (byte)0));

    private static ReadOnlySpan<T> Until<T>(ReadOnlySpan<T> field, T end)
        where T : IEquatable<T>
    {
        var at = field.IndexOf(end);
        return at < 0 ? field : field[..at];
    }
}
