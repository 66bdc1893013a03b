using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen.Controls;

/// <summary>A number that is only shown.</summary>
public sealed class Readout(Func<double> reads, int decimals, string unit) : Control
{
    private double shown = double.NaN;

    public override void Refresh(long milliseconds)
    {
        var now = Math.Round(reads(), decimals);
        if (now.Equals(shown))
            return;
        shown = now;
        Invalidate();
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        Span<char> text = stackalloc char[40];
        var count = Numbers.Append(unit, text, Numbers.Write(shown, decimals, text, withPlus: true));
        canvas.Text(text[..count], Box.Right, Box.CentreY, 13, palette.Soft, Align.Right);
    }
}
