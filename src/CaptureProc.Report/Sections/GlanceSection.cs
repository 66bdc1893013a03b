using System.Text;
using CaptureProc.Report.Page;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>What the next engineer needs before anything else: what can be used, and what asks for attention.</summary>
internal static class GlanceSection
{
    public static ReportSection Compose(SessionDocument session, IReadOnlyList<Concern> concerns)
    {
        var measured = session.Spots.Where(s => s.Delay is not null).ToList();
        var trusted = measured.Count(s => s.Delay!.Confidence >= Concerns.TrustedConfidence);
        var loosest = measured.Count > 0 ? measured.Max(s => s.Delay!.UncertaintySamples) : (double?)null;
        var acts = concerns.Where(c => c.Weight == Weight.Act).ToList();
        var body = new StringBuilder($"""
            <dl class="numbers">
            <div><dt>Spots with a delay to trust</dt><dd>{trusted} <small>of {session.Spots.Count}</small></dd></div>
            <div><dt>Loosest delay</dt><dd>{(loosest is null ? None : PlusMinus(loosest.Value, 2))} <small>samples</small></dd></div>
            <div><dt>Longest delay</dt><dd>{Number(measured.Count > 0 ? measured.Max(s => s.Delay!.Ms) : null, 1)} <small>ms</small></dd></div>
            <div><dt>To be done</dt><dd>{acts.Count} <small>{(acts.Count == 1 ? "thing" : "things")}</small></dd></div>
            </dl>

            """);
        const string link = "see <a href=\"#uncertain\">what is uncertain</a>.";
        body.Append(ReportSection.Paragraph(acts.Count > 0
            ? $"Before mixing, look at {string.Join(", ", acts.Select(c => $"<b>{Text(c.About)}</b>").Distinct())}: {link}"
            : "Everything that was measured can be used as it stands." + (concerns.Count > 0 ? $" {Count(concerns.Count, "point has", "points have")} to be borne in mind: {link}" : "")));
        return new ReportSection("glance", "At a glance", body.ToString());
    }
}
