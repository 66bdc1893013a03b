using System.Globalization;

namespace CaptureProc.Wav.Take;

/// <summary>Numbers in names that are otherwise the same: take_01 and take_02.</summary>
internal static class NameCounter
{
    /// <summary>The two numbers, where the names differ in one run of digits and in nothing else; null otherwise.</summary>
    /// <remarks>A name without a number counts as the first of those that add one: take, take_2; or take, take-001.</remarks>
    public static (long First, long Second)? Between(string first, string second)
    {
        var start = 0;
        while (start < first.Length && start < second.Length && first[start] == second[start])
            start++;
        var (endA, endB) = (first.Length, second.Length);
        while (endA > start && endB > start && first[endA - 1] == second[endB - 1])
            (endA, endB) = (endA - 1, endB - 1);
        if (start == endA && IsAddition(second[start..endB], out var added))
            return (added - 1, added);
        // The run may begin, or go on, in what is common: 09 and 10, 10 and 11, 1 and 10.
        while (start > 0 && char.IsAsciiDigit(first[start - 1]))
            start--;
        while (endA < first.Length && char.IsAsciiDigit(first[endA]))
            (endA, endB) = (endA + 1, endB + 1);
        return Parse(first[start..endA]) is { } a && Parse(second[start..endB]) is { } b && a != b ? (a, b) : null;
    }

    public static bool IsNext(string first, string second) => Between(first, second) is var (a, b) && b == a + 1;

    private static bool IsAddition(string text, out long number)
    {
        number = Parse(text.Trim(' ', '-', '_', '.', '(', ')')) ?? 0;
        return number is 1 or 2 && !char.IsAsciiDigit(text[0]);
    }

    private static long? Parse(string digits) =>
        long.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out var number) ? number : null;
}
