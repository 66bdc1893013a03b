using CaptureProc.Session;
using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>Where the array hears every source: directions and distances from above, with the uncertainty of the direction.</summary>
internal static class PlanPlot
{
    public static string Draw(IReadOnlyList<SpotEntry> spots)
    {
        var farthest = spots.Max(s => s.DistanceM ?? 0);
        var step = RingStep(farthest);
        var ringCount = Math.Max(1, (int)Math.Ceiling(farthest / step));
        var model = RoundChart.New([.. Enumerable.Range(1, ringCount).Select(i => (i * step, FormattableString.Invariant($"{i * step:0.##} m")))], 1.16);
        model.Annotations.Add(RoundChart.Label(RoundChart.Point(0, ringCount * step * 1.08), "ahead", PlotStyle.Muted));
        foreach (var spot in spots)
            AddSpot(model, spot, ringCount * step);
        model.Series.Add(Dot(new DataPoint(0, 0), MarkerType.Diamond, 7, PlotStyle.Array));
        model.Annotations.Add(RoundChart.Label(new DataPoint(0, -ringCount * step * 0.035), "array", PlotStyle.Array, isBold: true, vertical: VerticalAlignment.Top));
        return PlotSvg.Draw(model, 480, 480, "Plan of directions and distances from above, straight ahead at the top");
    }

    // Rings at 0.5, 1, 2, 5, 10 … metres: three to five of them.
    private static double RingStep(double farthestM)
    {
        if (!(farthestM > 0))
            return 1;
        var decade = Math.Pow(10, Math.Floor(Math.Log10(farthestM)));
        foreach (var step in new[] { 0.2, 0.5, 1, 2, 5 })
            if (farthestM / (step * decade) <= 5)
                return step * decade;
        return 10 * decade;
    }

    private static void AddSpot(PlotModel model, SpotEntry spot, double outerM)
    {
        if (spot.Direction is not { } direction)
            return;
        // The plan shows places on the floor: a source above or below stands nearer than its distance through the air.
        var onFloor = spot.DistanceM * Math.Cos(direction.ElevationDeg * Math.PI / 180);
        var radius = onFloor ?? outerM;
        var at = RoundChart.Point(direction.AzimuthDeg, radius);
        if (direction.UncertaintyDeg is { } uncertaintyDeg)
        {
            var wedge = new PolygonAnnotation { Fill = OxyColor.FromAColor(60, PlotStyle.Spot), StrokeThickness = 0, Layer = AnnotationLayer.BelowSeries };
            wedge.Points.Add(new DataPoint(0, 0));
            for (var i = -8; i <= 8; i++)
                wedge.Points.Add(RoundChart.Point(direction.AzimuthDeg + uncertaintyDeg * i / 8, radius));
            model.Annotations.Add(wedge);
        }
        model.Series.Add(Dot(at, MarkerType.Circle, 5.5, onFloor is null ? PlotStyle.Paper : PlotStyle.Spot));
        var isLeft = at.X < 0;
        model.Annotations.Add(RoundChart.Label(new DataPoint(at.X + (isLeft ? -1 : 1) * outerM * 0.035, at.Y), spot.Id, PlotStyle.Ink, isBold: true,
            horizontal: isLeft ? HorizontalAlignment.Right : HorizontalAlignment.Left));
    }

    private static ScatterSeries Dot(DataPoint at, MarkerType marker, double size, OxyColor fill) => new()
    {
        Points = { new ScatterPoint(at.X, at.Y) }, MarkerType = marker, MarkerSize = size, MarkerFill = fill,
        MarkerStroke = fill == PlotStyle.Paper ? PlotStyle.Spot : PlotStyle.Paper, MarkerStrokeThickness = 1.2,
    };
}
