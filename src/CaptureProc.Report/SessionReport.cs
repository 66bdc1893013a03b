using CaptureProc.Report.Page;
using CaptureProc.Report.Readings;
using CaptureProc.Report.Sections;
using CaptureProc.Session;

namespace CaptureProc.Report;

/// <summary>A session on paper: one page of HTML that needs nothing else, for a screen or for A4.</summary>
/// <remarks>Thread: [main]. The same session and material give the same page.</remarks>
public static class SessionReport
{
    public static string Compose(SessionDocument session, ReportMaterial material)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(material);
        var array = session.FindArray(material.ArrayId);
        session = session.HeardBy(array);
        var concerns = Concerns.Of(session);
        return PageShell.Compose(session, material.MadeAt,
        [
            GlanceSection.Compose(session, concerns),
            .. NotesSection.Compose(session) is { } notes ? [notes] : Array.Empty<ReportSection>(),
            RigSection.Compose(session),
            LineUpSection.Compose(session),
            PatchSection.Compose(session),
            ClickSection.Compose(session, array, material),
            PlanSection.Compose(session),
            StageSection.Compose(session),
            PlacementSection.Compose(session),
            ArraySection.Compose(session, array),
            ConcernSection.Compose(concerns),
            HistorySection.Compose(session),
        ]);
    }
}
