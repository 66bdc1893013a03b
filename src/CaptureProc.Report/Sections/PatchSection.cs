using System.Text;
using CaptureProc.Report.Page;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Which capsule is on which channel, and whether that has been proved.</summary>
internal static class PatchSection
{
    public static ReportSection Compose(SessionDocument session)
    {
        var body = new StringBuilder();
        foreach (var array in session.Arrays)
            body.Append(Verdict(array));
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

    private static string Verdict(ArrayEntry array)
    {
        var name = $"Array {Text(array.Id)}";
        if (array.Patch is not { } check)
            return ReportSection.Missing($"{name}: the order below is what was written down; it has not been checked. Taps on the capsules in turn, then <code>captureproc patch</code>, would prove it.");
        var found = check.Order is null ? "" : $" Its channels were found to carry {Text(string.Join(' ', check.Order))}.";
        return ReportSection.Paragraph(check.Ok
            ? $"{name}: checked on {Day(check.At)}, {(check.Order is null ? "no channel is inverted, dead or doubled" : "order and polarity are right")} (confidence {Confidence(check.Confidence)})."
            : $"{name}: checked on {Day(check.At)}, and not right: {Text(string.Join("; ", check.Problems))}.{found}");
    }
}
