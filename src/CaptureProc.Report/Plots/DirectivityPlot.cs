using OxyPlot;
using OxyPlot.Series;

namespace CaptureProc.Report.Plots;

/// <summary>Sensitivity round the horizon in dB, the centre at −30.</summary>
internal static class DirectivityPlot
{
    private const double FloorDb = -30;

    /// <param name="curves">Sensitivity (1 = unity) at an azimuth in degrees, with its colour.</param>
    public static string Draw(IReadOnlyList<(Func<double, double> Sensitivity, OxyColor Color)> curves, string description)
    {
        var model = RoundChart.New([(10, "−20"), (20, "−10"), (30, "0 dB")], 1.2);
        foreach (var (sensitivity, color) in curves)
        {
            var line = new LineSeries { Color = color, StrokeThickness = 1.5, LineJoin = LineJoin.Round };
            for (var azimuthDeg = 0; azimuthDeg <= 360; azimuthDeg += 4)
            {
                var levelDb = 20 * Math.Log10(Math.Max(sensitivity(azimuthDeg), 1e-6));
                line.Points.Add(RoundChart.Point(azimuthDeg, Math.Max(0, levelDb - FloorDb)));
            }
            model.Series.Add(line);
        }
        return PlotSvg.Draw(model, 260, 260, description);
    }
}
