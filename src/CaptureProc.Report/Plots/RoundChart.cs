using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Axes;

namespace CaptureProc.Report.Plots;

/// <summary>A view from above: rings and spokes round the centre, straight ahead at the top, left on the left.</summary>
internal static class RoundChart
{
    /// <param name="rings">Radius and label of each ring, inner first; the chart reaches a little beyond the last.</param>
    public static PlotModel New(IReadOnlyList<(double Radius, string Label)> rings, double beyond = 1.12)
    {
        var model = PlotStyle.NewModel();
        model.PlotType = PlotType.Cartesian;
        model.PlotMargins = new OxyThickness(0);
        var reach = rings[^1].Radius * beyond;
        foreach (var position in new[] { AxisPosition.Bottom, AxisPosition.Left })
            model.Axes.Add(new LinearAxis { Position = position, Minimum = -reach, Maximum = reach, IsAxisVisible = false });
        for (var azimuthDeg = 0; azimuthDeg < 360; azimuthDeg += 30)
        {
            var (from, to) = (Point(azimuthDeg, rings[0].Radius * 0.12), Point(azimuthDeg, rings[^1].Radius));
            model.Annotations.Add(new PolylineAnnotation { Color = PlotStyle.Hairline, StrokeThickness = 0.6, LineStyle = LineStyle.Solid, Layer = AnnotationLayer.BelowSeries, Points = { from, to } });
        }
        foreach (var (radius, label) in rings)
        {
            model.Annotations.Add(new EllipseAnnotation
            {
                X = 0, Y = 0, Width = 2 * radius, Height = 2 * radius,
                Fill = OxyColors.Undefined, Stroke = PlotStyle.Hairline, StrokeThickness = 0.8, Layer = AnnotationLayer.BelowSeries,
            });
            model.Annotations.Add(Label(Point(-172, radius), label, PlotStyle.Muted));
        }
        return model;
    }

    public static DataPoint Point(double azimuthDeg, double radius)
    {
        var (sin, cos) = Math.SinCos(azimuthDeg * Math.PI / 180);
        return new DataPoint(-radius * sin, radius * cos);
    }

    public static TextAnnotation Label(DataPoint at, string text, OxyColor color, bool isBold = false,
        HorizontalAlignment horizontal = HorizontalAlignment.Center, VerticalAlignment vertical = VerticalAlignment.Middle) => new()
    {
        TextPosition = at, Text = text, TextColor = color, StrokeThickness = 0, Background = OxyColor.FromAColor(215, PlotStyle.Paper),
        FontWeight = isBold ? FontWeights.Bold : FontWeights.Normal, TextHorizontalAlignment = horizontal, TextVerticalAlignment = vertical, Padding = new OxyThickness(1),
    };
}
