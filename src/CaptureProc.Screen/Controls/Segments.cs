using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>A few choices side by side, all in sight.</summary>
public sealed class Segments(ControlValue value, params string[] words) : ValueControl(value)
{
    public override PointerShape Pointer => PointerShape.Press;

    public override void Draw(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Box, 5, palette.Well);
        var width = Box.Width / words.Length;
        var chosen = (int)Value.Now;
        for (var i = 0; i < words.Length; i++)
        {
            var part = new Box(Box.X + i * width, Box.Y, width, Box.Height).Inside(2);
            if (i == chosen)
                canvas.FillRound(part, 4, IsEnabled ? palette.Hand : palette.Faint);
            canvas.TextWithin(words[i], part.Inside(1) with { Y = part.Y, Height = part.Height }, 12.5f, i == chosen ? palette.Ground : IsEnabled ? palette.Ink : palette.Faint, Align.Centre, i == chosen);
        }
        canvas.FrameRound(Box, 5, palette.LineWidth, IsHovered ? palette.Faint : palette.Edge);
    }

    public override bool OnPress(MousePoint at)
    {
        Value.Change(Math.Clamp((int)((at.X - Box.X) / Box.Width * words.Length), 0, words.Length - 1));
        return false;
    }

    public override void OnDoubleClick(MousePoint at) => OnPress(at);

    public override bool OnKey(KeyPress key)
    {
        if (key.Key != Key.Enter && !(key.Key == Key.Character && key.Character == ' '))
            return base.OnKey(key);
        Value.Change(((int)Value.Now + 1) % words.Length);
        return true;
    }
}
