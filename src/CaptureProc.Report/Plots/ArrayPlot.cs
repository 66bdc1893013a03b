using CaptureProc.Dsp.Geometry;
using OxyPlot;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>The capsules of an array from above, as it is mounted: where each looks over the floor, and whether up or down.</summary>
internal static class ArrayPlot
{
    // A capsule that looks straight up or down would fall on the centre with the others' letters.
    private const double LeastReach = 0.25;

    public static string Draw(IReadOnlyList<(string Label, Direction Look)> capsules, double radiusMm, string description)
    {
        var model = RoundChart.New([(1, FormattableString.Invariant($"{radiusMm:0.#} mm"))], 1.45);
        model.Annotations.Add(RoundChart.Label(RoundChart.Point(0, 1.2), "ahead", PlotStyle.Muted));
        foreach (var (label, look) in capsules)
        {
            var reach = Math.Max(LeastReach, Math.Cos(look.ElevationDeg * Math.PI / 180));
            var at = RoundChart.Point(look.AzimuthDeg, reach);
            model.Series.Add(new ScatterSeries
            {
                Points = { new ScatterPoint(at.X, at.Y) }, MarkerType = MarkerType.Circle, MarkerSize = 5,
                MarkerFill = look.ElevationDeg >= 0 ? PlotStyle.Array : PlotStyle.Paper, MarkerStroke = PlotStyle.Array, MarkerStrokeThickness = 1.4,
            });
            model.Annotations.Add(RoundChart.Label(RoundChart.Point(look.AzimuthDeg, reach + 0.27), label, PlotStyle.Ink));
        }
        return PlotSvg.Draw(model, 180, 180, description);
    }
}
