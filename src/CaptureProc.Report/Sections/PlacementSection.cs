using CaptureProc.Report.Page;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Direct against reverberant sound, and what it means for where the array stands.</summary>
internal static class PlacementSection
{
    private const string HowItIsReckoned =
        "<span class=\"note\">Where direct sound leads the image is sharp and the hall stays behind it; in balance the image holds, with air around it; where the hall leads the source blurs and its spot has to carry it. The direct sound falls by 6 dB when the distance doubles and the reverberation stays: both are equal at the critical distance, d·10<sup>ratio/20</sup>. As heard by W, which takes the room in from all sides; a slate that is stronger to one side shifts its reading by as much.</span>";

    public static ReportSection Compose(SessionDocument session)
    {
        var readings = Readings(session).ToList();
        if (readings.Count == 0)
            return new ReportSection("placement", "Placement",
                ReportSection.Missing("No click carries a direct-to-reverberant ratio with a distance to go with it, so nothing can be said about the place of the array."));
        var table = new HtmlTable("Source", "#Distance", "#Direct against reverberant", "#Critical distance", $"#{Signed(PlacementReading.WantedDb)} dB would be at", "Reading");
        foreach (var (name, reading) in readings)
            table.Row(Text(name), $"{Number(reading.DistanceM, 2)} m", $"{Signed(reading.DirectToReverberantDb, 1)} dB", $"{Number(reading.CriticalDistanceM, 1)} m",
                $"{Number(reading.DistanceAt(PlacementReading.WantedDb), 1)} m", reading.InWords);
        return new ReportSection("placement", "Placement", Summary(readings) + Room(session.Room) + table + ReportSection.Paragraph(HowItIsReckoned));
    }

    private static string Room(RoomEntry? room) => room is { ReverberationSeconds: { } seconds, UncertaintySeconds: { } sigma }
        ? ReportSection.Paragraph($"The room: reverberation time {Number(seconds, 2)} ± {Number(sigma, 2)}\u00a0s at mid frequencies, from {room.Claps} claps (ISO 3382-1, as far as claps go).")
        : "";

    private static string Summary(List<(string Name, PlacementReading Reading)> readings)
    {
        // The median leaves one odd clap out.
        var ratios = readings.Select(r => r.Reading.DirectToReverberantDb).Order().ToList();
        var medianDb = (ratios[(ratios.Count - 1) / 2] + ratios[ratios.Count / 2]) / 2;
        var missingDb = PlacementReading.WantedDb - medianDb;
        var factor = Math.Pow(10, -missingDb / 20);
        var advice = Math.Abs(missingDb) <= PlacementReading.WantedDb
            ? "The array stands well; leave it."
            : missingDb > 0
                ? $"For {Signed(PlacementReading.WantedDb)}\u00a0dB it would have to stand at {Number(factor, 2)} times the distance, that is closer; or let the spots carry more."
                : $"There is room to step back, up to {Number(factor, 1)} times the distance, if more hall is wanted.";
        return ReportSection.Paragraph($"The median of all sources: direct sound {Signed(medianDb, 1)}\u00a0dB against the reverberation. {advice}");
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
