using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen.Controls;

/// <summary>A line or a paragraph that may change.</summary>
public sealed class Label : Control
{
    private string shown = "";
    private Tone shownTone;

    /// <summary>What it says; the same string object while that stays the same.</summary>
    public required Func<string> Says { get; init; }

    public Func<Tone> Tone { get; init; } = () => Controls.Tone.Plain;

    public float Size { get; init; } = 13;

    public Align Align { get; init; }

    public bool IsBold { get; init; }

    public bool Wraps { get; init; }

    /// <summary>A sign before the text that tells the tone without its colour.</summary>
    public bool HasSign { get; init; }

    public override void Refresh(long milliseconds)
    {
        var (says, tone) = (Says(), Tone());
        if (ReferenceEquals(says, shown) && tone == shownTone)
            return;
        (shown, shownTone) = (says, tone);
        Invalidate();
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var box = Box;
        if (Wraps)
        {
            // Fewer lines than there is room for stand in the middle.
            var inside = HasSign && shownTone != Controls.Tone.Plain ? box with { Width = box.Width - 20 } : box;
            var height = canvas.TextBlock(shown, inside, Size, palette.Ink, Size * 1.4f, draw: false);
            box = box with { Y = box.Y + MathF.Max(0, (box.Height - height) / 2) };
        }
        if (HasSign && shownTone != Controls.Tone.Plain)
        {
            Sign.Draw(canvas, palette, shownTone, box.X + 7, Wraps ? box.Y + 9 : box.CentreY);
            box = box with { X = box.X + 20, Width = box.Width - 20 };
        }
        var colour = Sign.ColourOf(palette, HasSign ? Controls.Tone.Plain : shownTone);
        if (Wraps)
            canvas.TextBlock(shown, box, Size, colour, Size * 1.4f);
        else
            canvas.TextWithin(shown, box, Size, colour, Align, IsBold);
    }
}
