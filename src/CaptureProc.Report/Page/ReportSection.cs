namespace CaptureProc.Report.Page;

/// <summary>One numbered part of the page.</summary>
/// <param name="Id">Anchor in the page.</param>
/// <param name="Body">HTML.</param>
internal sealed record ReportSection(string Id, string Title, string Body)
{
    public static string Figure(string svg, string caption, string cssClass = "") =>
        $"<figure{(cssClass.Length > 0 ? $" class=\"{cssClass}\"" : "")}>\n{svg}\n<figcaption>{caption}</figcaption>\n</figure>\n";

    public static string Paragraph(string html) => $"<p>{html}</p>\n";

    /// <summary>Said where something has not been measured: what it would take.</summary>
    public static string Missing(string html) => $"<p class=\"missing\">{html}</p>\n";
}
