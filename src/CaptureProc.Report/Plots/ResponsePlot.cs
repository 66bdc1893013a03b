using OxyPlot;
using OxyPlot.Axes;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>Curves over frequency.</summary>
internal static class ResponsePlot
{
    public const double LowestHz = 20;
    public const double HighestHz = 20_000;

    /// <summary>Third octaves halved: enough points for smooth curves, few enough for a light page.</summary>
    public static IReadOnlyList<double> FrequenciesHz(double limitHz) =>
        [.. Enumerable.Range(0, 61).Select(i => LowestHz * Math.Pow(10, i / 20.0)).Where(hz => hz <= Math.Min(HighestHz, limitHz) * 1.0001)];

    public static string Draw(IReadOnlyList<(IReadOnlyList<DataPoint> Points, OxyColor Color, LineStyle Style)> curves,
        double minimum, double maximum, double step, string unit, string description)
    {
        var model = PlotStyle.NewModel();
        model.PlotMargins = new OxyThickness(44, 6, 10, 44);
        model.Axes.Add(PlotStyle.Frequency(LowestHz, HighestHz));
        var vertical = PlotStyle.Linear(AxisPosition.Left, minimum, maximum, unit);
        vertical.MajorStep = step;
        model.Axes.Add(vertical);
        foreach (var (points, color, style) in curves)
        {
            var line = new LineSeries { Color = color, StrokeThickness = 1.5, LineStyle = style, LineJoin = LineJoin.Round };
            line.Points.AddRange(points);
            model.Series.Add(line);
        }
        return PlotSvg.Draw(model, 420, 240, description);
    }
}
