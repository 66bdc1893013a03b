using static CaptureProc.Report.Page.Figures;
using System.Text;

namespace CaptureProc.Report.Page;

/// <summary>A table of the page; cells are HTML already.</summary>
/// <param name="heads">Heads of the columns; one that begins with "#" is a column of numbers.</param>
internal sealed class HtmlTable(params string[] heads)
{
    // More than fit below the middle of a page of A4: such a table may break across pages, a shorter one moves as a whole.
    private const int LongFromRows = 20;

    // More than fit beside one another on a telephone: there each row stands as a list, every cell behind the head of its column.
    private const int FewColumns = 4;

    private readonly StringBuilder rows = new();
    private int rowCount;

    public HtmlTable Row(params string[] cells)
    {
        rows.Append("<tr>");
        for (var i = 0; i < cells.Length; i++)
            rows.Append($"<td{(IsNumber(i) ? " class=\"n\"" : i == 0 ? " class=\"first\"" : "")} data-head=\"{Text(heads[i].TrimStart('#'))}\">").Append(cells[i]).Append("</td>");
        rows.Append("</tr>\n");
        rowCount++;
        return this;
    }

    public override string ToString()
    {
        var head = new StringBuilder();
        for (var i = 0; i < heads.Length; i++)
            head.Append(IsNumber(i) ? "<th class=\"n\">" : "<th>").Append(heads[i].TrimStart('#')).Append("</th>");
        var css = (heads.Length <= FewColumns ? "few" : "many") + (rowCount >= LongFromRows ? " long" : "");
        return $"<table class=\"{css}\">\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n";
    }

    private bool IsNumber(int column) => heads[column].StartsWith('#');
}
