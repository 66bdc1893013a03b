using CaptureProc.Report.Page;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>From which files all of this was taken.</summary>
internal static class HistorySection
{
    public static ReportSection Compose(SessionDocument session)
    {
        if (session.History.Count == 0)
            return new ReportSection("history", "Where this comes from", ReportSection.Missing("The session keeps no history."));
        var table = new HtmlTable("Command", "When", "Read");
        foreach (var entry in session.History)
            table.Row(Text(entry.Command), $"<span class=\"key\">{Day(entry.At)}</span>", string.Join("<br>", entry.Inputs.Select(i => $"{Text(i.File)} <span class=\"hash\" title=\"SHA-256 {Text(i.Sha256)}\">{Text(Short(i.Sha256))}</span>")));
        return new ReportSection("history", "Where this comes from", table + ReportSection.Paragraph("<span class=\"note\">Behind each file the beginning of its SHA-256.</span>"));
    }

    // Enough to tell files apart by eye; the session holds all of it.
    private static string Short(string sha256) => sha256.Length > 16 ? sha256[..16] : sha256;
}
