using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen;

/// <summary>One line of a menu: what it says, what it does, and whether it is the one in force.</summary>
public sealed record MenuItem(string Text, Action Act, bool IsChosen = false);

/// <summary>A list to choose from, by mouse or keys; longer ones scroll.</summary>
public sealed class Menu : Overlay
{
    private const float LineHeight = 26, Padding = 5, TextSize = 13;

    private readonly IReadOnlyList<MenuItem> items;
    private readonly int shown;
    private int at = -1, first;

    public Menu(IReadOnlyList<MenuItem> items, float x, float y, float width = 0)
    {
        this.items = items;
        for (var i = 0; i < items.Count; i++)
        {
            if (items[i].IsChosen)
                at = i;
            // Wide enough for its words at any size; letters are at most this wide on average.
            width = Math.Max(width, 46 + items[i].Text.Length * 7.4f);
        }
        shown = Math.Min(items.Count, 16);
        first = Math.Clamp(at - shown / 2, 0, items.Count - shown);
        Box = new Box(x, y, Math.Min(width, 420), shown * LineHeight + 2 * Padding);
    }

    public IReadOnlyList<MenuItem> Items => items;

    public override void Draw(Canvas canvas, Palette palette)
    {
        DrawSheet(canvas, palette);
        for (var i = 0; i < shown; i++)
        {
            var item = items[first + i];
            var line = LineBox(i);
            if (first + i == at)
                canvas.FillRound(line, 4, palette.Hand.Faded(0.25f));
            if (item.IsChosen)
                canvas.Disc(line.X + 11, line.CentreY, 3.2f, palette.Hand);
            canvas.TextWithin(item.Text, line with { X = line.X + 24, Width = line.Width - 32 }, TextSize, palette.Ink);
        }
        if (first > 0)
            canvas.Text("▲", Box.Right - 12, Box.Y + 12, 11, palette.Soft, Align.Right);
        if (first + shown < items.Count)
            canvas.Text("▼", Box.Right - 12, Box.Bottom - 12, 11, palette.Soft, Align.Right);
    }

    public override void OnMove(MousePoint point) => MoveTo(LineAt(point));

    public override bool OnPress(MousePoint point)
    {
        if (!Box.Contains(point.X, point.Y))
            return false;
        MoveTo(LineAt(point));
        Choose();
        return true;
    }

    public override void OnWheel(double steps)
    {
        first = Math.Clamp(first - Math.Sign(steps), 0, items.Count - shown);
        Scene?.InvalidateOverlay();
    }

    public override void OnKey(KeyPress key)
    {
        switch (key.Key)
        {
            case Key.Escape or Key.Tab:
                Scene?.Show(null);
                break;
            case Key.Down:
                MoveTo(Math.Min(at + 1, items.Count - 1));
                break;
            case Key.Up:
                MoveTo(Math.Max(at - 1, 0));
                break;
            case Key.Home:
                MoveTo(0);
                break;
            case Key.End:
                MoveTo(items.Count - 1);
                break;
            case Key.Enter:
                Choose();
                break;
            case Key.Character when key.Character == ' ':
                Choose();
                break;
            case Key.Character:
                MoveToLetter(key.Character);
                break;
        }
    }

    private void Choose()
    {
        if (at < 0)
            return;
        Scene?.Show(null);
        items[at].Act();
    }

    private void MoveToLetter(char letter)
    {
        for (var i = 1; i <= items.Count; i++)
        {
            var next = (Math.Max(at, 0) + i) % items.Count;
            if (items[next].Text.StartsWith(letter.ToString(), StringComparison.OrdinalIgnoreCase))
            {
                MoveTo(next);
                return;
            }
        }
    }

    private void MoveTo(int line)
    {
        if (line == at || line < 0)
            return;
        at = line;
        first = Math.Clamp(first, Math.Max(0, at - shown + 1), Math.Min(at, items.Count - shown));
        Scene?.InvalidateOverlay();
    }

    private Box LineBox(int line) => new(Box.X + Padding, Box.Y + Padding + line * LineHeight, Box.Width - 2 * Padding, LineHeight);

    private int LineAt(MousePoint point)
    {
        var line = (int)MathF.Floor((point.Y - Box.Y - Padding) / LineHeight);
        return Box.Contains(point.X, point.Y) && line >= 0 && line < shown ? first + line : -1;
    }
}
