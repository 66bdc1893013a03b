using CaptureProc.Analysis.Stage;
using CaptureProc.Session;
using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Axes;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>The stage to scale on a grid of metres, with the ellipse that holds each place in 95 of 100 cases.</summary>
internal static class StagePlot
{
    // To the sides stand names.
    private const double MarginM = 0.9, NamesM = 1.5;
    private const double WidthPx = 640;

    private const int EllipsePoints = 48;

    /// <summary>From above: straight ahead at the top, left on the left.</summary>
    public static string DrawAbove(StageEntry stage, SessionDocument session, double? criticalDistanceM) =>
        Draw(stage, session, place => new DataPoint(-place[1], place[0]), c => (c[3], -c[1], c[0]), criticalDistanceM, "Stage from above, straight ahead at the top", "");

    /// <summary>From the side: straight ahead on the right, up at the top, the floor dashed.</summary>
    public static string DrawSide(StageEntry stage, SessionDocument session) =>
        Draw(stage, session, place => new DataPoint(place[0], place[2]), c => (c[0], c[2], c[5]), null, "Stage from the right side, straight ahead at the right", "floor");

    private static string Draw(StageEntry stage, SessionDocument session, Func<IReadOnlyList<double>, DataPoint> project,
        Func<IReadOnlyList<double>, (double AA, double AB, double BB)> spread, double? criticalDistanceM, string description, string floor)
    {
        var model = PlotStyle.NewModel();
        model.PlotType = PlotType.Cartesian;
        DataPoint[] places = [new DataPoint(0, 0), .. stage.Spots.Select(s => project(s.PositionM)), .. stage.Claps.Select(c => project(c.PositionM)), .. stage.Arrays.Select(a => project(a.PositionM))];
        var lowest = places.Min(p => p.Y);
        if (floor.Length > 0 && stage.FloorM is { } floorM)
        {
            lowest = Math.Min(lowest, floorM + MarginM - 0.3);
            model.Annotations.Add(new LineAnnotation { Type = LineAnnotationType.Horizontal, Y = floorM, Color = PlotStyle.Muted, LineStyle = LineStyle.Dash, StrokeThickness = 0.8, Text = floor, TextColor = PlotStyle.Muted });
        }
        var (left, right, bottom, top) = (places.Min(p => p.X) - NamesM, places.Max(p => p.X) + NamesM, lowest - MarginM, places.Max(p => p.Y) + MarginM);
        foreach (var axis in new[] { PlotStyle.Linear(AxisPosition.Bottom, left, right, "m"), PlotStyle.Linear(AxisPosition.Left, bottom, top, "m") })
        {
            axis.MajorStep = 1;
            model.Axes.Add(axis);
        }
        if (criticalDistanceM is { } critical)
            model.Annotations.Add(new EllipseAnnotation { X = 0, Y = 0, Width = 2 * critical, Height = 2 * critical, Fill = OxyColors.Undefined, Stroke = PlotStyle.Array, StrokeThickness = 0.8, Layer = AnnotationLayer.BelowSeries, Text = FormattableString.Invariant($"critical distance {critical:0.0} m"), TextColor = PlotStyle.Array, TextPosition = new DataPoint(0, -critical) });
        foreach (var spot in stage.Spots)
            AddSpot(model, stage, session, spot, project, spread);
        foreach (var array in stage.Arrays)
        {
            AddEllipse(model, project(array.PositionM), spread(array.CovarianceM2), PlotStyle.Array);
            AddNamed(model, project(array.PositionM), array.Id, MarkerType.Diamond, PlotStyle.Array, true, left, right);
        }
        AddNamed(model, new DataPoint(0, 0), stage.Array, MarkerType.Diamond, PlotStyle.Array, true, left, right);
        // To scale: as high as it is wide in metres, with room for the figures at the axes.
        return PlotSvg.Draw(model, WidthPx, Math.Clamp(WidthPx * (top - bottom) / (right - left) + 44, 180, 900), description);
    }

    private static void AddSpot(PlotModel model, StageEntry stage, SessionDocument session, StageSpot spot,
        Func<IReadOnlyList<double>, DataPoint> project, Func<IReadOnlyList<double>, (double, double, double)> spread)
    {
        var at = project(spot.PositionM);
        AddEllipse(model, at, spread(spot.CovarianceM2), PlotStyle.Spot);
        var claps = stage.Claps.Where(c => c.Spot == spot.Id).ToList();
        foreach (var clap in claps)
        {
            var hands = project(clap.PositionM);
            AddEllipse(model, hands, spread(clap.CovarianceM2), PlotStyle.Ink);
            model.Annotations.Add(new PolylineAnnotation { Color = PlotStyle.Muted, StrokeThickness = 0.7, LineStyle = LineStyle.Solid, Layer = AnnotationLayer.BelowSeries, Points = { at, hands } });
            model.Series.Add(Dot(hands, MarkerType.Cross, 3.5, PlotStyle.Ink));
        }
        // The direction as the array states it, beside the place that all together give.
        if (claps.Count > 0 && session.Spots.FirstOrDefault(s => s.Id == spot.Id)?.Direction is { } direction)
        {
            var unit = new Dsp.Geometry.Direction(direction.AzimuthDeg, direction.ElevationDeg).ToUnitVector();
            var reach = claps[0].PositionM.Select(v => v * v).Sum();
            var end = project([.. new[] { unit.X, unit.Y, unit.Z }.Select(v => v * Math.Sqrt(reach))]);
            model.Annotations.Add(new PolylineAnnotation { Color = PlotStyle.Hairline, StrokeThickness = 1.2, LineStyle = LineStyle.Dash, Layer = AnnotationLayer.BelowSeries, Points = { new DataPoint(0, 0), end } });
        }
        AddNamed(model, at, spot.Id, MarkerType.Circle, claps.Count > 0 ? PlotStyle.Spot : OxyColors.White, false, model.Axes[0].Minimum, model.Axes[0].Maximum);
    }

    private static void AddEllipse(PlotModel model, DataPoint at, (double AA, double AB, double BB) spread, OxyColor color)
    {
        var ellipse = Ellipse.Of(spread.AA, spread.AB, spread.BB);
        var (a, b) = (Math.Sqrt(Ellipse.ChiSquare95 * ellipse.LongVariance), Math.Sqrt(Ellipse.ChiSquare95 * ellipse.ShortVariance));
        var (sin, cos) = Math.SinCos(ellipse.AngleRad);
        var outline = new PolygonAnnotation { Fill = OxyColor.FromAColor(46, color), Stroke = OxyColor.FromAColor(150, color), StrokeThickness = 0.7, LineStyle = LineStyle.Solid, Layer = AnnotationLayer.BelowSeries };
        for (var i = 0; i < EllipsePoints; i++)
        {
            var (y, x) = Math.SinCos(2 * Math.PI * i / EllipsePoints);
            outline.Points.Add(new DataPoint(at.X + a * x * cos - b * y * sin, at.Y + a * x * sin + b * y * cos));
        }
        model.Annotations.Add(outline);
    }

    private static void AddNamed(PlotModel model, DataPoint at, string name, MarkerType marker, OxyColor fill, bool isArray, double left, double right)
    {
        model.Series.Add(Dot(at, marker, isArray ? 6.5 : 4.5, fill));
        var isLeft = at.X < 0.5 * (left + right);
        model.Annotations.Add(RoundChart.Label(new DataPoint(at.X + (isLeft ? -1 : 1) * 0.016 * (right - left), at.Y), name, isArray ? PlotStyle.Array : PlotStyle.Ink, isBold: true,
            horizontal: isLeft ? HorizontalAlignment.Right : HorizontalAlignment.Left));
    }

    private static ScatterSeries Dot(DataPoint at, MarkerType marker, double size, OxyColor fill) => new()
    {
        MarkerType = marker, MarkerSize = size, MarkerFill = fill, MarkerStroke = fill == OxyColors.White ? PlotStyle.Spot : fill, MarkerStrokeThickness = 1.2,
        ItemsSource = new[] { new ScatterPoint(at.X, at.Y) },
    };
}
