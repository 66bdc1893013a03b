using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>Does something once, when it is let go of inside.</summary>
public sealed class PushButton : Control
{
    private readonly Action act;
    private string text;
    private bool isDown;

    public PushButton(string text, Action act)
    {
        (this.text, this.act) = (text, act);
        Name = text;
    }

    public override bool TakesFocus => true;

    public string Text
    {
        get => text;
        set
        {
            if (text == value)
                return;
            text = value;
            Invalidate();
        }
    }

    public override PointerShape Pointer => PointerShape.Press;

    public override void Draw(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Box, 5, isDown ? palette.Hand : palette.Panel.Towards(palette.Ink, IsHovered && IsEnabled ? 0.18f : 0.1f));
        canvas.FrameRound(Box, 5, palette.LineWidth, IsEnabled ? palette.Faint : palette.Edge);
        canvas.TextWithin(text, Box.Inside(4), 13, !IsEnabled ? palette.Faint : isDown ? palette.Ground : palette.Ink, Align.Centre);
    }

    public override bool OnPress(MousePoint at)
    {
        isDown = true;
        Invalidate();
        return true;
    }

    public override void OnRelease(MousePoint at)
    {
        isDown = false;
        Invalidate();
        if (Box.Contains(at.X, at.Y))
            act();
    }

    public override void OnDoubleClick(MousePoint at) => act();

    public override bool OnKey(KeyPress key)
    {
        if (key.Key != Key.Enter && !(key.Key == Key.Character && key.Character == ' '))
            return false;
        act();
        return true;
    }
}
