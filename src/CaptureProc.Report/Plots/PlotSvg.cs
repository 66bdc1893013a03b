using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using OxyPlot;

namespace CaptureProc.Report.Plots;

/// <summary>A plot as an SVG that lives in the page: it scales with its column and speaks for itself to a screen reader.</summary>
internal static partial class PlotSvg
{
    public static string Draw(PlotModel model, double width, double height, string description)
    {
        var exporter = new SvgExporter { Width = width, Height = height, IsDocument = false, UseVerticalTextAlignmentWorkaround = true };
        // The same page on every system: the library ends its lines as the system does.
        var svg = exporter.ExportToString(model).ReplaceLineEndings("\n");
        var head = string.Create(CultureInfo.InvariantCulture,
            $"<svg viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"{WebUtility.HtmlEncode(description)}\" xmlns=\"http://www.w3.org/2000/svg\">");
        // The library numbers its clip paths from 1 in every plot; in one page each number must be there once.
        var plot = StableName(description);
        return InPageColours(ClipPath().Replace(OpeningTag().Replace(svg, head, 1), $"clip-{plot}-$1"));
    }

    // The page says what is ink and what is paper, by day and by night; the plot's own colour stays for whoever takes it out of the page.
    private static string InPageColours(string svg) => Black().Replace(Colour().Replace(svg, match =>
        PlotStyle.CssNames.TryGetValue((byte.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture), byte.Parse(match.Groups[2].Value, CultureInfo.InvariantCulture),
            byte.Parse(match.Groups[3].Value, CultureInfo.InvariantCulture)), out var name) ? $"var(--{name},{match.Value})" : match.Value), "var(--ink,black)");

    // From the words alone, so that the same session gives the same page.
    private static string StableName(string description) =>
        Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(description)).AsSpan(0, 6));

    [GeneratedRegex("clipPath(\\d+)(?=[\")])")]
    private static partial Regex ClipPath();

    // What nobody gave a colour the library writes by this word.
    [GeneratedRegex("(?<=(?:fill|stroke)(?::|=\"))black")]
    private static partial Regex Black();

    [GeneratedRegex("rgb\\((\\d+),(\\d+),(\\d+)\\)")]
    private static partial Regex Colour();

    [GeneratedRegex("<svg[^>]*>")]
    private static partial Regex OpeningTag();
}
