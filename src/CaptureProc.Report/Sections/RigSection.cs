using System.Text;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Report.Page;
using CaptureProc.Report.Plots;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>What stood where on which channel.</summary>
internal static class RigSection
{
    public static ReportSection Compose(SessionDocument session)
    {
        var body = new StringBuilder();
        foreach (var array in session.Arrays)
            body.Append(Array(session, array));
        if (session.Spots.Count == 0)
            body.Append(ReportSection.Missing("No spots: the array stands alone."));
        else
            body.Append("<h3>Spots</h3>\n").Append(Spots(session));
        return new ReportSection("rig", "The rig", body.ToString());
    }

    private static string Array(SessionDocument session, ArrayEntry array)
    {
        var spot = session.Spots.FirstOrDefault(s => s.ArrayId == array.Id);
        var look = array.ToCapsuleArray().LookDirections().Select(Direction.Of).ToList();
        var table = new HtmlTable("Capsule", "#Channel", "#Looks to azimuth", "#Elevation");
        for (var i = 0; i < array.Capsules.Count; i++)
            table.Row(Text(array.Capsules[i].Label), Number(array.Channels[i]), $"{Signed(look[i].AzimuthDeg, 1)}°", $"{Signed(look[i].ElevationDeg, 1)}°");
        var drawing = ReportSection.Figure(ArrayPlot.Draw([.. array.Capsules.Select((c, i) => (c.Label, look[i]))], array.RadiusMm, $"Array {array.Id} from above"),
            "From above, as it is mounted: filled looks up, hollow looks down.", "small");
        return $"""
            <h3>{(spot is null ? "Array" : "Capsule array of the spot")} {Text(array.Id)}</h3>
            <p>Four capsules on a radius of {Number(array.RadiusMm, 1)} mm, pattern {Number(array.Pattern, 2)} ({PatternName(array.Pattern)}); {MountWords.Of(array.Mount)}.</p>
            <div class="beside">
            {table}{drawing}</div>
            """;
    }

    private static string Spots(SessionDocument session)
    {
        var table = new HtmlTable("Spot", "Channels", "Kind", "#Gain to match the array", "Polarity");
        foreach (var spot in session.Spots)
            table.Row(Text(spot.Id) + (spot.Note is null ? "" : $" <small>{Text(spot.Note)}</small>"), Channels(spot.Channels),
                spot.Channels.Count switch { 1 => "mono", 2 => "stereo", 4 => "capsule array", _ => "several" },
                spot.GainDb is null ? None : Signed(spot.GainDb, 1) + " dB", Polarity(spot));
        return table.ToString();
    }

    private static string PatternName(double pattern) => pattern switch
    {
        < 0.05 => "figure-eight",
        < 0.32 => "hypercardioid",
        < 0.45 => "supercardioid",
        < 0.55 => "cardioid",
        < 0.95 => "subcardioid",
        _ => "omni",
    };
}
