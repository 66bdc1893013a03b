using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>Off or on.</summary>
public sealed class Switch(ControlValue value) : ValueControl(value)
{
    public string Caption { get; init; } = "";

    public bool IsWarning { get; init; }

    public override PointerShape Pointer => PointerShape.Press;

    public override void Draw(Canvas canvas, Palette palette)
    {
        var isOn = Value.Now >= 0.5;
        var track = new Box(Box.X, Box.CentreY - 8, 30, 16);
        var lit = IsWarning ? palette.Bad : palette.Hand;
        canvas.FillRound(track, 8, isOn ? IsEnabled ? lit : palette.Faint : palette.Well);
        canvas.FrameRound(track, 8, palette.LineWidth, IsHovered ? palette.Soft : palette.Faint);
        canvas.Disc(isOn ? track.Right - 8 : track.X + 8, track.CentreY, 5.2f, isOn ? palette.Ground : palette.Soft);
        canvas.TextWithin(Caption, new Box(track.Right + 8, Box.Y, Box.Right - track.Right - 8, Box.Height), 13, IsEnabled ? palette.Ink : palette.Faint);
    }

    public override bool OnPress(MousePoint at)
    {
        Flip();
        return false;
    }

    public override void OnDoubleClick(MousePoint at) => Flip();

    public override bool OnKey(KeyPress key)
    {
        if (key.Key != Key.Enter && !(key.Key == Key.Character && key.Character == ' '))
            return base.OnKey(key);
        Flip();
        return true;
    }

    private void Flip() => Value.Change(Value.Now >= 0.5 ? 0 : 1);
}
