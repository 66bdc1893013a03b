using System.Text;

namespace CaptureProc.Report.Page;

/// <summary>A table of the page; cells are HTML already.</summary>
/// <param name="heads">Heads of the columns; one that begins with "#" is a column of numbers.</param>
internal sealed class HtmlTable(params string[] heads)
{
    // More than fit below the middle of a page of A4: such a table may break across pages, a shorter one moves as a whole.
    private const int LongFromRows = 20;

    private readonly StringBuilder rows = new();
    private int rowCount;

    public HtmlTable Row(params string[] cells)
    {
        rows.Append("<tr>");
        for (var i = 0; i < cells.Length; i++)
            rows.Append(IsNumber(i) ? "<td class=\"n\">" : i == 0 ? "<td class=\"first\">" : "<td>").Append(cells[i]).Append("</td>");
        rows.Append("</tr>\n");
        rowCount++;
        return this;
    }

    public override string ToString()
    {
        var head = new StringBuilder();
        for (var i = 0; i < heads.Length; i++)
            head.Append(IsNumber(i) ? "<th class=\"n\">" : "<th>").Append(heads[i].TrimStart('#')).Append("</th>");
        var css = (heads.Length <= 4 ? "few" : "") + (rowCount >= LongFromRows ? " long" : "");
        return $"<table class=\"{css.Trim()}\">\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}</tbody>\n</table>\n";
    }

    private bool IsNumber(int column) => heads[column].StartsWith('#');
}
