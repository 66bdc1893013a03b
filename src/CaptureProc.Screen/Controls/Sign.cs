using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen.Controls;

/// <summary>How good or bad something is.</summary>
public enum Tone
{
    Plain, Soft, Good, Doubt, Bad,
}

/// <summary>Shows a tone by shape as well as by colour: a tick, a wave of doubt, a cross.</summary>
public static class Sign
{
    public static Colour ColourOf(Palette palette, Tone tone) => tone switch
    {
        Tone.Good => palette.Good,
        Tone.Doubt => palette.Doubt,
        Tone.Bad => palette.Bad,
        Tone.Soft => palette.Soft,
        _ => palette.Ink,
    };

    public static void Draw(Canvas canvas, Palette palette, Tone tone, float x, float y)
    {
        var colour = ColourOf(palette, tone);
        switch (tone)
        {
            case Tone.Good:
                canvas.Line(x - 5, y, x - 1.5f, y + 4, 2.2f, colour);
                canvas.Line(x - 1.5f, y + 4, x + 5, y - 4, 2.2f, colour);
                break;
            case Tone.Doubt:
                canvas.Ring(x, y, 5.5f, 1.6f, colour);
                canvas.Line(x, y - 2.6f, x, y + 0.4f, 1.8f, colour);
                canvas.Disc(x, y + 2.8f, 1, colour);
                break;
            case Tone.Bad:
                canvas.Line(x - 4.2f, y - 4.2f, x + 4.2f, y + 4.2f, 2.4f, colour);
                canvas.Line(x - 4.2f, y + 4.2f, x + 4.2f, y - 4.2f, 2.4f, colour);
                break;
            case Tone.Soft:
                canvas.Ring(x, y, 4.5f, 1.6f, colour);
                break;
        }
    }
}
