using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Axes;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>One value a channel against a tolerance band, with its uncertainty as a bar.</summary>
internal static class TolerancePlot
{
    public static string Draw(IReadOnlyList<(string Label, double ValueDb, double? UncertaintyDb)> channels, double toleranceDb, string description)
    {
        var widest = channels.Max(c => Math.Abs(c.ValueDb) + (c.UncertaintyDb ?? 0));
        var reach = Math.Max(2.5 * toleranceDb, 1.15 * widest);
        var model = PlotStyle.NewModel();
        // Room for the names whatever letters the page has: the library measures in a face of its own.
        model.PlotMargins = new OxyThickness(112, 4, 8, 44);
        model.Axes.Add(PlotStyle.Linear(AxisPosition.Bottom, -reach, reach, "dB"));
        var names = new CategoryAxis
        {
            Position = AxisPosition.Left, StartPosition = 1, EndPosition = 0, AxislineStyle = LineStyle.None, MajorTickSize = 0, MinorTickSize = 0,
            TextColor = PlotStyle.Ink, IsTickCentered = true, GapWidth = 0.4,
        };
        names.Labels.AddRange(channels.Select(c => c.Label));
        model.Axes.Add(names);
        model.Annotations.Add(new RectangleAnnotation { MinimumX = -toleranceDb, MaximumX = toleranceDb, Fill = PlotStyle.Good, Layer = AnnotationLayer.BelowAxes });
        model.Annotations.Add(new LineAnnotation { Type = LineAnnotationType.Vertical, X = 0, Color = PlotStyle.Muted, StrokeThickness = 0.7, LineStyle = LineStyle.Solid, Layer = AnnotationLayer.BelowSeries });
        for (var i = 0; i < channels.Count; i++)
        {
            var (_, value, uncertainty) = channels[i];
            var color = Math.Abs(value) <= toleranceDb ? PlotStyle.Array : PlotStyle.Bad;
            var bar = new LineSeries { Color = color, StrokeThickness = 1.6 };
            bar.Points.Add(new DataPoint(value - (uncertainty ?? 0), i));
            bar.Points.Add(new DataPoint(value + (uncertainty ?? 0), i));
            model.Series.Add(bar);
            model.Series.Add(new ScatterSeries { Points = { new ScatterPoint(value, i) }, MarkerType = MarkerType.Circle, MarkerSize = 4, MarkerFill = color });
        }
        return PlotSvg.Draw(model, 520, 54 + 21 * channels.Count, description);
    }
}
