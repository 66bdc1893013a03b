using System.Text;
using CaptureProc.Report.Page;
using CaptureProc.Report.Plots;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>How well the four gains of an array match.</summary>
internal static class LineUpSection
{
    private const double UsualToleranceDb = 0.1;

    public static ReportSection Compose(SessionDocument session)
    {
        var body = new StringBuilder();
        foreach (var array in session.Arrays)
            foreach (var set in array.TrimSets)
                body.Append(Set(array, set));
        if (body.Length == 0)
            body.Append(ReportSection.Missing("The gains have not been lined up. Pink noise into all four inputs before the microphone is patched, then <code>captureproc level</code>, would show here how far they are apart."));
        return new ReportSection("line-up", "Line-up", body.ToString());
    }

    private static string Set(ArrayEntry array, TrimSet set)
    {
        var toleranceDb = set.ToleranceDb ?? UsualToleranceDb;
        var channels = set.Db.Select((db, i) => (
            Label: $"{array.Capsules[i].Label}   channel {array.Channels[i]}",
            ValueDb: db,
            UncertaintyDb: i < set.UncertaintyDb?.Count ? set.UncertaintyDb[i] : (double?)null)).ToList();
        var outside = channels.Count(c => Math.Abs(c.ValueDb) > toleranceDb);
        var verdict = outside == 0
            ? $"All four match to ±{Number(toleranceDb, 2)} dB as recorded."
            : $"{Count(outside, "channel lies", "channels lie")} outside ±{Number(toleranceDb, 2)} dB as recorded; the trims below put {(outside == 1 ? "it" : "them")} right.";
        var values = string.Join(", ", channels.Select((c, i) =>
            $"{array.Capsules[i].Label} {Signed(c.ValueDb, 2)}{(c.UncertaintyDb is { } u ? $" ± {Number(u, 2)}" : "")}"));
        var plot = TolerancePlot.Draw(channels, toleranceDb, $"Trims of {set.Name} against the tolerance");
        return $"""
            <div class="block">
            <h3>Trim set {Text(set.Name)} <span class="note">array {Text(array.Id)}, from {Text(set.Source ?? "an unknown source")}, {(array.ActiveTrim == set.Name ? "in use" : "not in use")}</span></h3>
            <p>{verdict}</p>
            {ReportSection.Figure(plot, $"What has to be added to each channel, in dB: {Text(values)}. Green: tolerance. Bars: uncertainty.", "strip")}</div>
            """;
    }
}
