using System.Globalization;
using System.Net;
using CaptureProc.Session;

namespace CaptureProc.Report.Page;

/// <summary>Words and numbers as they stand on the page.</summary>
internal static class Figures
{
    public const string None = "–";

    /// <summary>Text from the session, made safe for the page.</summary>
    public static string Text(string? text) => WebUtility.HtmlEncode(text ?? "");

    /// <summary>A number with so many decimals and a true minus sign.</summary>
    public static string Number(double? value, int decimals = 0) => value is { } number && double.IsFinite(number)
        ? Minus(WithoutNegativeZero(number, decimals).ToString("F" + decimals, CultureInfo.InvariantCulture))
        : None;

    /// <summary>As above, with a plus sign where it is positive.</summary>
    public static string Signed(double? value, int decimals = 0) => value is { } number && double.IsFinite(number)
        ? (WithoutNegativeZero(number, decimals) > 0 ? "+" : "") + Number(value, decimals)
        : None;

    /// <summary>An uncertainty; what is smaller than the last digit is said to be, since nothing measured is known to nothing.</summary>
    public static string PlusMinus(double value, int decimals) => value < 0.5 * Math.Pow(10, -decimals)
        ? $"± less than {Number(Math.Pow(10, -decimals), decimals)}"
        : $"±{Number(value, decimals)}";

    /// <summary>A confidence, never rounded upwards: 0.996 is not certainty.</summary>
    public static string Confidence(double confidence) => confidence >= 0.9995 ? "&gt; 0.999" : Number(Math.Floor(1000 * Math.Clamp(confidence, 0, 1)) / 1000, 3);

    public static string Channels(IReadOnlyList<int> channels)
    {
        var isRun = channels.Count > 1 && channels.Select((c, i) => c - i).Distinct().Count() == 1;
        return isRun ? $"{channels[0]}–{channels[^1]}" : string.Join(", ", channels);
    }

    public static string Polarity(SpotEntry spot) => spot.Polarity switch { 1 => "as the array", -1 => "inverted", _ => "not known" };

    /// <summary>A count at the head of a sentence: "One channel lies", "Three channels lie".</summary>
    public static string Count(int number, string one, string many) => $"{InWords(number)} {(number == 1 ? one : many)}";

    private static string InWords(int number) => number switch
    {
        1 => "One", 2 => "Two", 3 => "Three", 4 => "Four", 5 => "Five", 6 => "Six", 7 => "Seven", 8 => "Eight", 9 => "Nine",
        _ => number.ToString(CultureInfo.InvariantCulture),
    };

    public static string Day(DateTimeOffset at) => at.ToString("d MMMM yyyy, HH:mm", CultureInfo.InvariantCulture);

    private static double WithoutNegativeZero(double value, int decimals)
    {
        var rounded = Math.Round(value, decimals);
        return rounded == 0 ? 0 : rounded;
    }

    private static string Minus(string number) => number.Replace('-', '−');
}
