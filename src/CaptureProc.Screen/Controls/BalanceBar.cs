using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen.Controls;

/// <summary>Two things against each other, in dB: a mark that leaves the middle for the stronger side.</summary>
public sealed class BalanceBar(string leftWord, string rightWord, double rangeDb, Func<double> reads) : Control
{
    private double shown = double.NaN;

    public override void Refresh(long milliseconds)
    {
        var now = Math.Round(reads(), 1);
        if (now.Equals(shown))
            return;
        shown = now;
        Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        canvas.Text(leftWord, Box.X, Box.Y + 7, 12, palette.Soft);
        canvas.Text(rightWord, Box.Right, Box.Y + 7, 12, palette.Soft, Align.Right);
        var bar = Bar;
        canvas.FillRound(bar, 3, palette.Well);
        for (var db = -rangeDb; db <= rangeDb; db += rangeDb / 5)
        {
            var x = PlaceOf(db);
            canvas.Hairline(x, bar.Y, x, bar.Bottom, db == 0 ? palette.Soft : palette.Edge);
        }
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var bar = Bar;
        var (middle, x) = (PlaceOf(0), PlaceOf(shown));
        if (Math.Abs(x - middle) > 0.5f)
            canvas.Fill(new Box(Math.Min(x, middle), bar.Y + 3, Math.Abs(x - middle), bar.Height - 6), palette.Sound);
        canvas.FillRound(new Box(x - 2, bar.Y - 1, 4, bar.Height + 2), 2, palette.Ink);
        Span<char> text = stackalloc char[24];
        var count = Numbers.Append(" dB", text, Numbers.Write(Math.Abs(shown), 1, text));
        canvas.Text(text[..count], Box.CentreX, Box.Y + 7, 12.5f, palette.Ink, Align.Centre);
    }

    private Box Bar => new(Box.X, Box.Y + 18, Box.Width, Box.Height - 18);

    private float PlaceOf(double db) => Box.CentreX - (float)(Math.Clamp(db, -rangeDb, rangeDb) / rangeDb) * (Box.Width / 2 - 4);
}
