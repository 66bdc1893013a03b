using System.Globalization;
using OxyPlot;
using OxyPlot.Axes;

namespace CaptureProc.Report.Plots;

/// <summary>How all plots of the report look: thin ink, no boxes, the page's own letters.</summary>
internal static class PlotStyle
{
    public static readonly OxyColor Ink = OxyColor.FromRgb(0x24, 0x2A, 0x31);
    public static readonly OxyColor Paper = OxyColors.White;
    public static readonly OxyColor Muted = OxyColor.FromRgb(0x74, 0x7D, 0x87);
    public static readonly OxyColor Hairline = OxyColor.FromRgb(0xDF, 0xE2, 0xE5);
    public static readonly OxyColor Array = OxyColor.FromRgb(0x1E, 0x5B, 0x6B);
    public static readonly OxyColor Spot = OxyColor.FromRgb(0xC0, 0x6A, 0x1F);
    public static readonly OxyColor Good = OxyColor.FromRgb(0xE3, 0xEE, 0xE6);
    public static readonly OxyColor Bad = OxyColor.FromRgb(0xA8, 0x32, 0x2A);

    /// <summary>From low to high: four steps of one hue, told apart in black-and-white print too.</summary>
    public static readonly OxyColor[] Steps =
    [
        OxyColor.FromRgb(0x0F, 0x2F, 0x3A), OxyColor.FromRgb(0x2B, 0x6F, 0x80), OxyColor.FromRgb(0x6F, 0xA8, 0xA8), OxyColor.FromRgb(0xD0, 0x8A, 0x3E),
    ];

    /// <summary>What the page's style sheet calls these colours.</summary>
    public static readonly IReadOnlyDictionary<(byte R, byte G, byte B), string> CssNames = new Dictionary<(byte, byte, byte), string>
    {
        [Of(Ink)] = "ink", [Of(Paper)] = "paper", [Of(Muted)] = "muted", [Of(Hairline)] = "hair", [Of(Array)] = "array", [Of(Spot)] = "spot",
        [Of(Good)] = "good", [Of(Bad)] = "act", [Of(Steps[0])] = "step-0", [Of(Steps[1])] = "step-1", [Of(Steps[2])] = "step-2", [Of(Steps[3])] = "step-3",
    };

    /// <summary>A colour of the plots for the text beside them.</summary>
    public static string Css(OxyColor color) => $"var(--{CssNames[Of(color)]})";

    private static (byte R, byte G, byte B) Of(OxyColor color) => (color.R, color.G, color.B);

    public const double TextSize = 11;

    public static PlotModel NewModel() => new()
    {
        DefaultFont = "inherit",
        DefaultFontSize = TextSize,
        TextColor = Muted,
        PlotAreaBorderThickness = new OxyThickness(0),
        Background = OxyColors.Transparent,
        Padding = new OxyThickness(2),
        Culture = CultureInfo.InvariantCulture,
    };

    public static LinearAxis Linear(AxisPosition position, double minimum, double maximum, string? title = null) =>
        Dress(new LinearAxis { Minimum = minimum, Maximum = maximum, Title = title }, position);

    public static LogarithmicAxis Frequency(double minimumHz, double maximumHz) => Dress(
        new LogarithmicAxis
        {
            Minimum = minimumHz, Maximum = maximumHz, Title = "Hz", MinorTickSize = 0,
            LabelFormatter = hz => hz > 999 ? string.Create(CultureInfo.InvariantCulture, $"{hz / 1000:0.#} k") : hz.ToString("0", CultureInfo.InvariantCulture),
        }, AxisPosition.Bottom);

    private static T Dress<T>(T axis, AxisPosition position) where T : Axis
    {
        axis.Position = position;
        axis.AxislineStyle = position is AxisPosition.Bottom ? LineStyle.Solid : LineStyle.None;
        axis.AxislineColor = axis.TicklineColor = Muted;
        axis.AxislineThickness = 0.6;
        axis.MajorGridlineStyle = LineStyle.Solid;
        axis.MajorGridlineColor = Hairline;
        axis.MajorGridlineThickness = 0.6;
        axis.MinorTickSize = 0;
        axis.MajorTickSize = position is AxisPosition.Bottom ? 3 : 0;
        axis.TitleColor = axis.TextColor = Muted;
        axis.AxisTitleDistance = 7;
        axis.LabelFormatter ??= value => value.ToString("0.###", CultureInfo.InvariantCulture).Replace('-', '−');
        axis.IsPanEnabled = axis.IsZoomEnabled = false;
        return axis;
    }
}
