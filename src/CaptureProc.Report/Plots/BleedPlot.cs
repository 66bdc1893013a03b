using CaptureProc.Session;
using OxyPlot;
using OxyPlot.Annotations;
using OxyPlot.Axes;

namespace CaptureProc.Report.Plots;

/// <summary>Whom every spot hears: a square for each player and microphone, the darker the louder, with level and time in it.</summary>
internal static class BleedPlot
{
    // From hardly there to as loud as at the own spot.
    private const double FaintDb = -40, LoudDb = 0;

    private const double CellPx = 62, NamesPx = 104;

    public static string Draw(IReadOnlyList<string> players, IReadOnlyList<string> microphones, IReadOnlyList<StageBleed> bleed)
    {
        var model = PlotStyle.NewModel();
        // Fixed, because the library measures names in a face of its own and would cut them.
        model.PlotMargins = new OxyThickness(NamesPx, 24, 4, 4);
        model.Axes.Add(Names(AxisPosition.Top, microphones, false));
        model.Axes.Add(Names(AxisPosition.Left, players, true));
        for (var row = 0; row < players.Count; row++)
            for (var column = 0; column < microphones.Count; column++)
            {
                var y = players.Count - 1 - row;
                if (players[row] == microphones[column])
                    AddCell(model, column, y, OxyColor.FromAColor(40, PlotStyle.Spot), "own", PlotStyle.Muted);
                else if (bleed.FirstOrDefault(b => b.Player == players[row] && b.Microphone == microphones[column]) is { } heard)
                    AddHeard(model, column, y, heard);
            }
        return PlotSvg.Draw(model, NamesPx + 6 + CellPx * microphones.Count, 30 + 0.62 * CellPx * players.Count, "Level and time of every player's direct sound in every microphone");
    }

    private static void AddHeard(PlotModel model, int column, int row, StageBleed heard)
    {
        var share = heard.LevelDb is { } level ? Math.Clamp((level - FaintDb) / (LoudDb - FaintDb), 0, 1) : 0;
        var text = heard.LevelDb is { } db ? FormattableString.Invariant($"{db:+0;-0;0} dB\n{heard.LaterMs:+0.0;-0.0} ms") : FormattableString.Invariant($"not heard\n{heard.LaterMs:+0.0;-0.0} ms");
        AddCell(model, column, row, OxyColor.FromAColor((byte)(210 * share), PlotStyle.Array), text.Replace('-', '−'), share > 0.6 ? OxyColors.White : PlotStyle.Ink);
    }

    private static void AddCell(PlotModel model, int column, int row, OxyColor fill, string text, OxyColor ink) => model.Annotations.Add(new RectangleAnnotation
    {
        MinimumX = column - 0.47, MaximumX = column + 0.47, MinimumY = row - 0.46, MaximumY = row + 0.46,
        Fill = fill, Stroke = PlotStyle.Hairline, StrokeThickness = 0.6, Text = text, TextColor = ink, FontSize = 9.5,
    });

    private static CategoryAxis Names(AxisPosition position, IReadOnlyList<string> names, bool isReversed)
    {
        var axis = new CategoryAxis { Position = position, MajorTickSize = 0, MinorTickSize = 0, AxislineStyle = LineStyle.None, TextColor = PlotStyle.Ink, GapWidth = 0, IsTickCentered = true, Minimum = -0.5, Maximum = names.Count - 0.5 };
        axis.Labels.AddRange(isReversed ? names.Reverse() : names);
        return axis;
    }
}
