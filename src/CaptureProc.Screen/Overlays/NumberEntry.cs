using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen;

/// <summary>A field over a control in which a number is typed; Enter takes it, Escape leaves it.</summary>
/// <remarks>What cannot be read stays there to be mended, and the field says so by its frame.</remarks>
public sealed class NumberEntry : Overlay
{
    private const float TextSize = 14, LeastWidth = 96, Height = 28;
    private const int MostLetters = 24;

    private readonly ControlValue value;
    private string text;
    private bool isSelected, isWrong, showsCaret = true;
    private int caret;

    public NumberEntry(Control control, ControlValue value, string begin)
    {
        this.value = value;
        Span<char> now = stackalloc char[32];
        var shown = new string(now[..value.Write(value.Now, now)]).Replace('−', '-');
        text = begin.Length > 0 ? begin : shown;
        isSelected = begin.Length == 0;
        caret = text.Length;
        var width = Math.Max(LeastWidth, control.Box.Width);
        Box = new Box(control.Box.CentreX - width / 2, control.Box.CentreY - Height / 2, width, Height);
    }

    public string Text => text;

    public override PointerShape Pointer => PointerShape.Text;

    public override void Draw(Canvas canvas, Palette palette)
    {
        DrawSheet(canvas, palette);
        canvas.FrameRound(Box, 7, 2, isWrong ? palette.Bad : palette.Hand);
        var x = Box.X + 10;
        if (isSelected)
            canvas.Fill(new Box(x - 2, Box.Y + 6, canvas.WidthOf(text, TextSize) + 4, Box.Height - 12), palette.Hand.Faded(0.35f));
        canvas.Text(text, x, Box.CentreY, TextSize, palette.Ink);
        canvas.Text(isWrong ? "no number" : value.Unit, Box.Right - 10, Box.CentreY, 12, isWrong ? palette.Bad : palette.Soft, Align.Right);
        if (showsCaret)
            canvas.Fill(new Box(x + canvas.WidthOf(text.AsSpan(0, caret), TextSize), Box.Y + 6, 1.5f, Box.Height - 12), palette.Ink);
    }

    public override bool Refresh(long milliseconds)
    {
        var shows = milliseconds / 500 % 2 == 0;
        if (shows == showsCaret)
            return false;
        showsCaret = shows;
        return true;
    }

    public override void OnKey(KeyPress key)
    {
        switch (key.Key)
        {
            case Key.Escape:
                Scene?.Show(null);
                return;
            case Key.Enter or Key.Tab:
                Take();
                return;
            case Key.Backspace when isSelected:
            case Key.Delete when isSelected:
                (text, caret) = ("", 0);
                break;
            case Key.Backspace when caret > 0:
                text = text.Remove(--caret, 1);
                break;
            case Key.Delete when caret < text.Length:
                text = text.Remove(caret, 1);
                break;
            case Key.Left:
                caret = Math.Max(0, caret - 1);
                break;
            case Key.Right:
                caret = Math.Min(text.Length, caret + 1);
                break;
            case Key.Home:
                caret = 0;
                break;
            case Key.End:
                caret = text.Length;
                break;
            case Key.Character when !key.IsControl:
                if (isSelected)
                    (text, caret) = ("", 0);
                if (text.Length < MostLetters)
                    text = text.Insert(caret++, key.Character.ToString());
                break;
        }
        (isSelected, isWrong) = (false, false);
        Scene?.InvalidateOverlay();
    }

    private void Take()
    {
        // The comma is how half the world writes a decimal point.
        if (!value.TryParse(text.Replace('−', '-').Replace(',', '.'), out var number))
        {
            isWrong = true;
            Scene?.InvalidateOverlay();
            return;
        }
        Scene?.Show(null);
        value.Change(number);
    }
}
