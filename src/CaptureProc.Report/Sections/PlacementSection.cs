using CaptureProc.Analysis.Placement;
using CaptureProc.Report.Page;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Direct sound over the hall, and what it means for where the array stands.</summary>
internal static class PlacementSection
{
    private const string HowItIsReckoned =
        "<span class=\"note\">Where direct sound leads the image is sharp and the hall stays behind it; in balance the image holds, with air around it; where the hall leads the source blurs and its spot has to carry it. The direct sound falls by 6 dB when the distance doubles and the hall stays: both are equal at the critical distance, d·10<sup>ratio/20</sup>. As heard by W, which takes the room in from all sides; a slate that is stronger to one side shifts its reading by as much.</span>";

    public static ReportSection Compose(SessionDocument session)
    {
        var readings = Readings(session).ToList();
        if (readings.Count == 0)
            return new ReportSection("placement", "Placement",
                ReportSection.Missing("No clap carries a ratio of direct sound to hall with a distance to go with it, so nothing can be said about the place of the array.") + HallFigures.Compose(session.Room));
        var table = new HtmlTable("Source", "#Distance", "#Direct over hall", "#Critical distance", "Reading");
        foreach (var (name, reading) in readings)
            table.Row(Text(name), $"{Number(reading.DistanceM, 2)} m", $"{Signed(reading.DirectToReverberantDb, 1)} dB", $"{Number(reading.CriticalDistanceM, 1)} m", reading.InWords);
        return new ReportSection("placement", "Placement", Summary(readings) + table + ReportSection.Paragraph(HowItIsReckoned) + HallFigures.Compose(session.Room));
    }

    private static string Summary(List<(string Name, PlacementReading Reading)> readings)
    {
        // The median leaves one odd clap out.
        var ratios = readings.Select(r => r.Reading.DirectToReverberantDb).Order().ToList();
        var medianDb = (ratios[(ratios.Count - 1) / 2] + ratios[ratios.Count / 2]) / 2;
        var advice = new PlacementAdvice(medianDb, UncertaintyDb(ratios), PlacementAdvice.UsualWantedDb, null);
        const string target = "direct sound and hall to be equal, as at the critical distance,";
        var words = advice.Move switch
        {
            PlacementMove.Closer => $"For {target} it would have to stand at {Number(advice.Factor, 2)} times the distance, that is closer; or let the spots carry more.",
            PlacementMove.Farther => $"For {target} it may stand at {Number(advice.Factor, 1)} times the distance: there is room to step back.",
            PlacementMove.Stay => $"The array stands well for {target.TrimEnd(',')}; leave it.",
            _ => $"The claps differ too much, by ±{Number(advice.UncertaintyDb, 1)}\u00a0dB, to move the array for it.",
        };
        return ReportSection.Paragraph($"The median of all sources: direct sound {Signed(medianDb, 1)}\u00a0dB over the hall. {words}");
    }

    // Of the median: the spread of single claps over the root of how many there are (the factor is that of the normal distribution).
    private static double UncertaintyDb(List<double> ratios)
    {
        if (ratios.Count < 2)
            return 0;
        var mean = ratios.Average();
        return 1.2533 * Math.Sqrt(ratios.Sum(r => (r - mean) * (r - mean)) / (ratios.Count - 1) / ratios.Count);
    }

    private static IEnumerable<(string, PlacementReading)> Readings(SessionDocument session)
    {
        foreach (var spot in session.Spots)
        {
            var ratios = session.Clicks.Where(c => c.Spot == spot.Id).Select(c => c.DirectToReverberantDb).OfType<double>().ToList();
            if (ratios.Count > 0 && spot.DistanceM is { } distanceM and > 0)
                yield return (spot.Id, new PlacementReading(distanceM, ratios.Average()));
        }
    }
}
