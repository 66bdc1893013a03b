using System.Globalization;

namespace CaptureProc.Screen.Controls;

/// <summary>Numbers as text, without making strings.</summary>
public static class Numbers
{
    private static readonly string[] Formats = ["F0", "F1", "F2", "F3", "F4"];

    /// <summary>With a true minus, and never "−0.0".</summary>
    public static int Write(double value, int decimals, Span<char> text, bool withPlus = false)
    {
        if (double.IsNaN(value) || double.IsInfinity(value))
        {
            var word = double.IsNegativeInfinity(value) ? "−∞" : double.IsNaN(value) ? "–" : "∞";
            word.CopyTo(text);
            return word.Length;
        }
        var digits = text[1..];
        if (!Math.Abs(value).TryFormat(digits, out var count, Formats[decimals], CultureInfo.InvariantCulture))
            return 0;
        var isZero = digits[..count].IndexOfAnyInRange('1', '9') < 0;
        if (isZero || (value > 0 && !withPlus))
        {
            digits[..count].CopyTo(text);
            return count;
        }
        text[0] = value < 0 ? '−' : '+';
        return count + 1;
    }

    /// <summary>Text after a number that has been written already.</summary>
    public static int Append(ReadOnlySpan<char> more, Span<char> text, int at)
    {
        more.CopyTo(text[at..]);
        return at + more.Length;
    }
}
