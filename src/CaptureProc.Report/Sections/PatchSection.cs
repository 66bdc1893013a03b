using System.Text;
using System.Text.Json;
using CaptureProc.Report.Page;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Which capsule is on which channel, and whether that has been proved.</summary>
internal static class PatchSection
{
    public static ReportSection Compose(SessionDocument session)
    {
        var check = session.History.LastOrDefault(h => h.Command == "patch");
        var body = new StringBuilder(check is null
            ? ReportSection.Missing("This order is what was written down; it has not been checked. Taps on the capsules in turn, then <code>captureproc patch</code>, would prove it.")
            : ReportSection.Paragraph($"Checked on {Day(check.At)}{(check.Inputs.Count > 0 ? $" from {Text(string.Join(", ", check.Inputs.Select(i => i.File)))}" : "")}."));
        foreach (var array in session.Arrays)
            if (array.Unknown?.TryGetValue("patch", out var found) == true && found.ValueKind == JsonValueKind.Object)
                body.Append(Found(array, found));
        var table = new HtmlTable("Channel", "Belongs to", "Carries");
        foreach (var (channel, owner, what) in Rows(session).OrderBy(r => r.Channel))
            table.Row(Number(channel), owner, what);
        body.Append(table);
        return new ReportSection("patch", "Patch", body.ToString());
    }

    private static IEnumerable<(int Channel, string Owner, string What)> Rows(SessionDocument session)
    {
        foreach (var array in session.Arrays)
            for (var i = 0; i < array.Channels.Count; i++)
                yield return (array.Channels[i], $"array {Text(array.Id)}", $"capsule {Text(array.Capsules[i].Label)}");
        foreach (var spot in session.Spots)
            if (session.Arrays.All(a => !a.Channels.SequenceEqual(spot.Channels)))
                for (var i = 0; i < spot.Channels.Count; i++)
                    yield return (spot.Channels[i], $"spot {Text(spot.Id)}", What(spot, i) + (spot.Polarity < 0 ? ", inverted" : ""));
    }

    private static string What(SpotEntry spot, int index) => spot.Channels.Count switch
    {
        1 => "mono",
        2 => index == 0 ? "left" : "right",
        _ => $"its channel {index + 1}",
    };

    private static string Found(ArrayEntry array, JsonElement found)
    {
        var problems = found.TryGetProperty("problems", out var list) && list.ValueKind == JsonValueKind.Array
            ? list.EnumerateArray().Where(p => p.ValueKind == JsonValueKind.String).Select(p => p.GetString()).ToList()
            : [];
        return ReportSection.Paragraph(problems.Count == 0
            ? $"Array {Text(array.Id)}: order and polarity are as written."
            : $"Array {Text(array.Id)}: {Text(string.Join("; ", problems))}.");
    }
}
