using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Axes;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>Array and spot in two lanes over one time, each scaled to its own peak; a line marks the arrival at the array.</summary>
internal static class WaveformPlot
{
    private const double LaneHeight = 2.2;

    public static string Draw(double startMs, double sampleRateHz, float[] array, float[] spot, string spotName, string description)
    {
        var endMs = startMs + (array.Length - 1) * 1000 / sampleRateHz;
        var model = PlotStyle.NewModel();
        model.PlotMargins = new OxyThickness(2, 2, 8, 44);
        model.Axes.Add(PlotStyle.Linear(AxisPosition.Bottom, startMs, endMs, "ms"));
        model.Axes.Add(new LinearAxis { Position = AxisPosition.Left, Minimum = -1.15, Maximum = LaneHeight + 1.15, IsAxisVisible = false });
        model.Annotations.Add(new LineAnnotation { Type = LineAnnotationType.Vertical, X = 0, Color = PlotStyle.Muted, StrokeThickness = 0.8, LineStyle = LineStyle.Solid, Layer = AnnotationLayer.BelowSeries });
        AddLane(model, startMs, sampleRateHz, array, LaneHeight, PlotStyle.Array, "array W");
        AddLane(model, startMs, sampleRateHz, spot, 0, PlotStyle.Spot, spotName);
        return PlotSvg.Draw(model, 420, 210, description);
    }

    private static void AddLane(PlotModel model, double startMs, double sampleRateHz, float[] samples, double level, OxyColor color, string name)
    {
        var peak = samples.Length == 0 ? 0 : samples.Max(Math.Abs);
        var line = new LineSeries { Color = color, StrokeThickness = 1, LineJoin = LineJoin.Round };
        for (var i = 0; i < samples.Length; i++)
            line.Points.Add(new DataPoint(startMs + i * 1000 / sampleRateHz, level + (peak > 0 ? samples[i] / peak : 0)));
        model.Series.Add(line);
        model.Annotations.Add(new TextAnnotation
        {
            TextPosition = new DataPoint(startMs, level + 0.95), Text = name, TextColor = color, StrokeThickness = 0, FontWeight = FontWeights.Bold,
            TextHorizontalAlignment = HorizontalAlignment.Left, TextVerticalAlignment = VerticalAlignment.Top, Padding = new OxyThickness(2),
        });
    }
}
