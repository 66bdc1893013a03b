using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Plugins.Spots.Views;

/// <summary>The delay that plays, as large as it matters: milliseconds, and the same as samples and as metres of air.</summary>
internal sealed class DelayPicture(Func<double> delayMs, Func<double> sampleRateHz, Func<double> speedOfSoundMps) : Control
{
    private double shown = double.NaN, rate, speed;

    public override void Refresh(long milliseconds)
    {
        var (now, nowRate, nowSpeed) = (Math.Round(delayMs(), 4), sampleRateHz(), speedOfSoundMps());
        if (now.Equals(shown) && nowRate == rate && nowSpeed == speed)
            return;
        (shown, rate, speed) = (now, nowRate, nowSpeed);
        Invalidate();
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        Span<char> text = stackalloc char[40];
        var count = Numbers.Write(shown, 3, text);
        canvas.Text(text[..count], Box.X, Box.Y + 18, 30, palette.Ink, isBold: true);
        canvas.Text("ms", Box.X + canvas.WidthOf(text[..count], 30, isBold: true) + 8, Box.Y + 23, 15, palette.Soft);
        var x = Box.X + 190;
        count = Numbers.Append(" samples", text, Numbers.Write(shown * rate / 1000, 2, text));
        canvas.Text(text[..count], x, Box.Y + 9, 13.5f, palette.Ink);
        count = Numbers.Append(" m of air", text, Numbers.Write(shown * speed / 1000, 3, text));
        canvas.Text(text[..count], x, Box.Y + 29, 13.5f, palette.Ink);
    }
}
