using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen;

/// <summary>What a control is and does, beside the mouse.</summary>
public sealed class ToolTip : Overlay
{
    private const float TextSize = 12.5f, LineHeight = 17, Padding = 10, WidestText = 300;

    private bool isMeasured;

    public ToolTip(Control of, float x, float y)
    {
        Of = of;
        var lines = Math.Max(1, (int)Math.Ceiling(of.Tip.Length * 6.9f / WidestText));
        var width = Math.Min(WidestText, of.Tip.Length * 7.2f) + 2 * Padding;
        Box = new Box(x + 14, y + 18, Math.Max(width, 120), lines * LineHeight + 2 * Padding + 18);
    }

    public Control Of { get; }

    public override bool TakesMouse => false;

    public override bool TakesKeys => false;

    public override void Draw(Canvas canvas, Palette palette)
    {
        var inside = Box.Inside(Padding);
        var text = inside with { Y = inside.Y + 18 };
        if (!isMeasured)
        {
            // Only what draws knows how wide letters are; a tip is measured when it is drawn first, inside what was guessed.
            isMeasured = true;
            Box = Box with { Height = Math.Min(Box.Height, canvas.TextBlock(Of.Tip, text, TextSize, palette.Ink, LineHeight, draw: false) + 2 * Padding + 18) };
        }
        DrawSheet(canvas, palette);
        canvas.Text(Of.Name, inside.X, inside.Y + 7, TextSize, palette.Hand, isBold: true);
        canvas.TextBlock(Of.Tip, text, TextSize, palette.Ink, LineHeight);
    }
}
