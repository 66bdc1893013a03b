using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen.Controls;

/// <summary>A number in a field: dragged, turned, or typed after Enter.</summary>
public sealed class NumberBox(ControlValue value) : ValueControl(value)
{
    /// <summary>A word before the number; empty for none.</summary>
    public string Caption { get; init; } = "";

    public float TextSize { get; init; } = 13;

    public bool WithPlus { get; init; }

    public override void Draw(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Box, 5, IsHovered ? palette.Well.Towards(palette.Ink, 0.08f) : palette.Well);
        canvas.FrameRound(Box, 5, palette.LineWidth, IsHovered ? palette.Faint : palette.Edge);
        var (ink, soft) = IsEnabled ? (palette.Ink, palette.Soft) : (palette.Faint, palette.Faint);
        // How far it is from the default, as a thin line at the foot.
        var range = Value.Maximum - Value.Minimum;
        var (from, to) = ((Value.Default - Value.Minimum) / range, (Value.Now - Value.Minimum) / range);
        var track = Box.Inside(4);
        if (IsEnabled && from != to)
            canvas.Fill(
                new Box(track.X + (float)Math.Min(from, to) * track.Width, Box.Bottom - 3, MathF.Max(1.5f, (float)Math.Abs(to - from) * track.Width), 2), palette.Hand);
        if (Caption.Length > 0)
            canvas.Text(Caption, Box.X + 8, Box.CentreY, 12, soft);
        Span<char> text = stackalloc char[40];
        var count = Numbers.Write(Value.Now, Value.Decimals, text, WithPlus);
        if (Value.Unit.Length > 0)
            count = Numbers.Append(Value.Unit, text, Numbers.Append(Value.Unit == "°" ? "" : " ", text, count));
        if (Caption.Length > 0)
            canvas.Text(text[..count], Box.Right - 8, Box.CentreY, TextSize, ink, Align.Right);
        else
            canvas.Text(text[..count], Box.CentreX, Box.CentreY, TextSize, ink, Align.Centre);
    }
}
