using System.Text;
using CaptureProc.Report.Page;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>What people wrote down: where, who, with what, and what the takes are.</summary>
internal static class NotesSection
{
    /// <summary>Null where nobody wrote anything down.</summary>
    public static ReportSection? Compose(SessionDocument session)
    {
        var notes = session.Notes ?? new NotesEntry();
        var body = new StringBuilder();
        foreach (var (name, text) in new[] { ("Place", notes.Place), ("People", notes.People), ("Preamplifiers", notes.Preamps), ("Remark", notes.Remark) })
            if (!string.IsNullOrWhiteSpace(text))
                body.Append(ReportSection.Paragraph($"<span class=\"note\">{name}</span><br>{Text(text)}"));
        var microphones = session.Arrays.Select(a => ($"array {a.Id}", a.Microphone)).Concat(session.Spots.Select(s => ($"spot {s.Id}", s.Microphone)))
            .Where(m => !string.IsNullOrWhiteSpace(m.Microphone)).ToList();
        if (microphones.Count > 0)
            body.Append(Table("Of", "Microphone", microphones.Select(m => (m.Item1, m.Microphone!))));
        if (notes.Takes.Count > 0)
            body.Append(Table("Take", "What it is", notes.Takes.Select(t => (t.File, t.Name))));
        return body.Length == 0 ? null : new ReportSection("notes", "Notes", body.ToString());
    }

    private static string Table(string of, string what, IEnumerable<(string Of, string What)> rows)
    {
        var table = new HtmlTable(of, what);
        foreach (var (name, words) in rows)
            table.Row(Text(name), Text(words));
        return table.ToString();
    }
}
