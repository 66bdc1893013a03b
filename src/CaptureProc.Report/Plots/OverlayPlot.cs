using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Axes;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>Array and spot over one another around the arrival, near enough to see a third of a sample between them.</summary>
internal static class OverlayPlot
{
    private const double TickSamples = 5;

    /// <param name="startSamples">Time of the first point, in samples of the recording from the arrival.</param>
    /// <param name="stepSamples">From one point to the next.</param>
    public static string Draw(double startSamples, double stepSamples, float[] array, float[] spot, string spotName, string description)
    {
        var endSamples = startSamples + (array.Length - 1) * stepSamples;
        var model = PlotStyle.NewModel();
        model.PlotMargins = new OxyThickness(2, 2, 8, 44);
        var time = PlotStyle.Linear(AxisPosition.Bottom, startSamples, endSamples, "samples");
        time.MajorStep = TickSamples;
        model.Axes.Add(time);
        model.Axes.Add(new LinearAxis { Position = AxisPosition.Left, Minimum = -1.1, Maximum = 1.35, IsAxisVisible = false });
        model.Annotations.Add(new LineAnnotation { Type = LineAnnotationType.Vertical, X = 0, Color = PlotStyle.Muted, StrokeThickness = 0.8, LineStyle = LineStyle.Solid, Layer = AnnotationLayer.BelowSeries });
        AddTrace(model, startSamples, stepSamples, array, PlotStyle.Array);
        AddTrace(model, startSamples, stepSamples, spot, PlotStyle.Spot);
        var left = startSamples + 0.01 * (endSamples - startSamples);
        AddName(model, left, 1.33, "array W", PlotStyle.Array);
        AddName(model, left + 0.16 * (endSamples - startSamples), 1.33, spotName, PlotStyle.Spot);
        return PlotSvg.Draw(model, 420, 210, description);
    }

    private static void AddTrace(PlotModel model, double startSamples, double stepSamples, float[] samples, OxyColor color)
    {
        var peak = samples.Length == 0 ? 0 : samples.Max(Math.Abs);
        // Thin enough that two traces a third of a sample apart stay two.
        var line = new LineSeries { Color = color, StrokeThickness = 1, LineJoin = LineJoin.Round };
        for (var i = 0; i < samples.Length; i++)
            line.Points.Add(new DataPoint(startSamples + i * stepSamples, peak > 0 ? samples[i] / peak : 0));
        model.Series.Add(line);
    }

    private static void AddName(PlotModel model, double x, double y, string name, OxyColor color) => model.Annotations.Add(new TextAnnotation
    {
        TextPosition = new DataPoint(x, y), Text = name, TextColor = color, StrokeThickness = 0, FontWeight = FontWeights.Bold,
        TextHorizontalAlignment = HorizontalAlignment.Left, TextVerticalAlignment = VerticalAlignment.Top, Padding = new OxyThickness(2),
    });
}
