using System.Text;
using CaptureProc.Report.Page;
using CaptureProc.Report.Readings;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>What is uncertain, and what to do about it.</summary>
internal static class ConcernSection
{
    public static ReportSection Compose(IReadOnlyList<Concern> concerns)
    {
        var body = new StringBuilder();
        foreach (var concern in concerns)
        {
            var (css, tag) = concern.Weight == Weight.Act ? ("act", "to do") : ("mind", "note");
            body.Append($"""
                <div class="concern {css}">
                <p><span class="tag">{tag}</span><b>{Text(concern.About)}</b> {Text(concern.What)}</p>
                <p class="do">{Text(concern.Do)}</p>
                </div>

                """);
        }
        if (concerns.Count == 0)
            body.Append("<div class=\"concern fine\"><p><span class=\"tag\">clear</span>Nothing measured here is in doubt: every delay can be trusted to three times its uncertainty.</p></div>\n");
        return new ReportSection("uncertain", "What is uncertain, and what to do", body.ToString());
    }
}
