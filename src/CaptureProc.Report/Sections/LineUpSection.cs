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
        var outside = channels.Where(c => Math.Abs(c.ValueDb) - (c.UncertaintyDb ?? 0) > toleranceDb).ToList();
        var untold = channels.Where(c => (c.UncertaintyDb ?? 0) > toleranceDb && !outside.Contains(c)).ToList();
        var loosest = outside.Select(c => c.UncertaintyDb ?? 0).DefaultIfEmpty(0).Max();
        var verdict = outside.Count > 0
            ? $"{Count(outside.Count, "channel lies", "channels lie")} outside ±{Number(toleranceDb, 2)} dB as recorded; the trims below put {(outside.Count == 1 ? "it" : "them")} right{(loosest > toleranceDb ? $" to within {PlusMinus(loosest, 2)} dB" : "")}."
            : channels.TrueForAll(c => Math.Abs(c.ValueDb) + (c.UncertaintyDb ?? 0) <= toleranceDb) ? $"All four match to ±{Number(toleranceDb, 2)} dB as recorded."
            : untold.Count == 0 ? $"All four match to about ±{Number(toleranceDb, 2)} dB as recorded; the trims below are surer than that." : "";
        if (untold.Count > 0)
            verdict += $" {Count(untold.Count, "channel", "channels")} cannot be told: known to {PlusMinus(untold.Max(c => c.UncertaintyDb ?? 0), 2)} dB only, where ±{Number(toleranceDb, 2)} dB is asked for.";
        var values = string.Join(", ", channels.Select((c, i) =>
            $"{array.Capsules[i].Label} {Signed(c.ValueDb, 2)}{(c.UncertaintyDb is { } u and > 0 ? $" ± {(u < 0.005 ? "less than 0.01" : Number(u, 2))}" : "")}"));
        var plot = TolerancePlot.Draw(channels, toleranceDb, $"Trims of {set.Name} against the tolerance");
        return $"""
            <div class="block">
            <h3>Trim set {Text(set.Name)} <span class="note">array {Text(array.Id)}, from {Text(set.Source ?? "an unknown source")}, {(array.ActiveTrim == set.Name ? "in use" : "not in use")}</span></h3>
            <p>{verdict}</p>
            {ReportSection.Figure(plot, $"What has to be added to each channel, in dB: {Text(values)}. Green: tolerance. Bars: uncertainty.", "strip")}</div>
            """;
    }
}
