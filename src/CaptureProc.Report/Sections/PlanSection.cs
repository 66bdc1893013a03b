using CaptureProc.Report.Page;
using CaptureProc.Report.Plots;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Directions and distances, drawn and tabled.</summary>
internal static class PlanSection
{
    public static ReportSection Compose(SessionDocument session)
    {
        var placed = session.Spots.Where(s => s.Direction is not null).ToList();
        if (placed.Count == 0)
            return new ReportSection("plan", "Directions and distances",
                ReportSection.Missing("No direction has been measured yet; they come with the delays from <code>captureproc measure</code>."));
        var table = new HtmlTable("Spot", "#Azimuth", "#Elevation", "#Uncertainty", "#Distance", "Seen from the array");
        foreach (var spot in placed)
            table.Row(Text(spot.Id), $"{Signed(spot.Direction!.AzimuthDeg, 1)}°", $"{Signed(spot.Direction.ElevationDeg, 1)}°",
                spot.Direction.UncertaintyDeg is { } u ? $"±{Number(u, 1)}°" : None, spot.DistanceM is { } d ? $"{Number(d, 2)} m" : None, InWords(spot.Direction));
        var figure = ReportSection.Figure(PlanPlot.Draw(placed),
            "From above, straight ahead at the top; places on the floor. Wedges: uncertainty of the direction. Hollow: distance not known.", "narrow");
        return new ReportSection("plan", "Directions and distances", $"<div class=\"beside\">\n{figure}{table}</div>\n");
    }

    private static string InWords(SpotDirection direction)
    {
        var azimuthDeg = Math.IEEERemainder(direction.AzimuthDeg, 360);
        var side = azimuthDeg > 0 ? "left" : "right";
        var place = Math.Abs(azimuthDeg) switch
        {
            < 8 => "ahead",
            < 60 => $"front {side}",
            <= 120 => side,
            <= 172 => $"rear {side}",
            _ => "behind",
        };
        return place + direction.ElevationDeg switch { > 15 => ", above", < -15 => ", below", _ => "" };
    }
}
