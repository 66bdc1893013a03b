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
            table.Row(Text(entry.Command), Day(entry.At), string.Join("<br>", entry.Inputs.Select(i => $"{Text(i.File)} <span class=\"hash\">{Text(i.Sha256)}</span>")));
        return new ReportSection("history", "Where this comes from", table.ToString());
    }
}
