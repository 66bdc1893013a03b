using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Plugins.Listening.Views;

/// <summary>The listener's head from above and from behind, turned by the mouse, the wheel or the arrow keys.</summary>
/// <remarks>
/// Dragging to the side turns the head there (yaw), up and down tips it (pitch); in the picture from behind, to the side rolls it.
/// </remarks>
internal sealed class HeadPicture(ControlValue yaw, ControlValue pitch, ControlValue roll) : Control
{
    private const float DegreesPerUnit = 0.7f;

    private double shownYaw = double.NaN, shownPitch, shownRoll;
    private float lastX, lastY;
    private bool rolls, isHeld;

    public override bool TakesFocus => true;

    public override ControlValue Value => yaw;

    public override PointerShape Pointer => PointerShape.Grab;

    private float Radius => Math.Min(Box.Width / 4 - 18, Box.Height / 2 - 26);

    private float AboveX => Box.X + Box.Width / 4;

    private float BehindX => Box.X + 3 * Box.Width / 4;

    public override void Refresh(long milliseconds)
    {
        if (yaw.Now == shownYaw && pitch.Now == shownPitch && roll.Now == shownRoll)
            return;
        (shownYaw, shownPitch, shownRoll) = (yaw.Now, pitch.Now, roll.Now);
        Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        foreach (var (x, caption) in (ReadOnlySpan<(float, string)>)[(AboveX, "from above"), (BehindX, "from behind")])
        {
            canvas.Disc(x, Box.CentreY, Radius + 8, palette.Well);
            canvas.Ring(x, Box.CentreY, Radius + 8, palette.LineWidth, palette.Edge);
            canvas.Text(caption, x, Box.CentreY + Radius + 20, 12, palette.Soft, Align.Centre);
            for (var degrees = 0; degrees < 360; degrees += 30)
            {
                var (sin, cos) = MathF.SinCos(degrees * MathF.PI / 180);
                canvas.Line(x + sin * (Radius + 4), Box.CentreY - cos * (Radius + 4), x + sin * (Radius + 8), Box.CentreY - cos * (Radius + 8), 1.2f, palette.Faint);
            }
        }
        canvas.Text("front", AboveX, Box.CentreY - Radius - 19, 11.5f, palette.Soft, Align.Centre);
        canvas.Text("up", BehindX, Box.CentreY - Radius - 19, 11.5f, palette.Soft, Align.Centre);
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var (y, size) = (Box.CentreY, Radius * 0.62f);
        // From above: the nose points where the listener looks; its length is what pitch leaves of it.
        var (sin, cos) = Math.SinCos(shownYaw * Math.PI / 180);
        var reach = (float)Math.Cos(shownPitch * Math.PI / 180);
        var (nx, ny) = (AboveX - (float)sin * (size + 14 * reach), y - (float)cos * (size + 14 * reach));
        canvas.Line(AboveX - (float)sin * size * 0.9f, y - (float)cos * size * 0.9f, nx, ny, 9, palette.Hand);
        DrawEars(canvas, palette, AboveX, y, (float)cos, -(float)sin, size);
        canvas.Disc(AboveX, y, size, palette.Panel.Towards(palette.Ink, 0.16f));
        canvas.Ring(AboveX, y, size, 2, palette.Ink);
        canvas.Line(AboveX, y, AboveX - (float)sin * (Radius + 6), y - (float)cos * (Radius + 6), 1.4f, palette.Hand);

        // From behind: roll tips the ears, pitch lifts or lowers the crown.
        var (rollSin, rollCos) = MathF.SinCos((float)(shownRoll * Math.PI / 180));
        DrawEars(canvas, palette, BehindX, y, rollCos, rollSin, size);
        canvas.Disc(BehindX, y, size, palette.Panel.Towards(palette.Ink, 0.16f));
        canvas.Ring(BehindX, y, size, 2, palette.Ink);
        var crown = (float)Math.Sin(shownPitch * Math.PI / 180) * size * 0.8f;
        canvas.Line(BehindX + rollSin * size, y - rollCos * size, BehindX + rollSin * (Radius + 6), y - rollCos * (Radius + 6), 1.4f, palette.Hand);
        canvas.Disc(BehindX + rollSin * crown, y - rollCos * crown, 4, palette.Hand);
    }

    public override bool OnPress(MousePoint at)
    {
        rolls = at.X > Box.CentreX;
        (lastX, lastY, isHeld) = (at.X, at.Y, true);
        (rolls ? roll : yaw).Hold();
        pitch.Hold();
        return true;
    }

    public override void OnDrag(MousePoint at)
    {
        if (!isHeld)
            return;
        var step = DegreesPerUnit * (at.IsFine ? 0.1f : 1);
        var side = (at.X - lastX) * step;
        var up = (lastY - at.Y) * step;
        (lastX, lastY) = (at.X, at.Y);
        if (side != 0)
            (rolls ? roll : yaw).Set(Wrapped((rolls ? roll : yaw).Now + (rolls ? side : -side)));
        if (up != 0)
            pitch.Set(Wrapped(pitch.Now - up));
    }

    public override void OnRelease(MousePoint at)
    {
        if (!isHeld)
            return;
        isHeld = false;
        (rolls ? roll : yaw).Release();
        pitch.Release();
    }

    public override void OnDoubleClick(MousePoint at)
    {
        yaw.Change(0);
        pitch.Change(0);
        roll.Change(0);
    }

    public override bool OnWheel(MousePoint at, double steps)
    {
        Turn(at.X > Box.CentreX ? roll : yaw, steps * (at.IsFine ? 0.5 : 5));
        return true;
    }

    public override bool OnKey(KeyPress key)
    {
        var step = key.IsFine ? 1 : 5;
        switch (key.Key)
        {
            case Key.Left:
                Turn(key.IsControl ? roll : yaw, key.IsControl ? -step : step);
                return true;
            case Key.Right:
                Turn(key.IsControl ? roll : yaw, key.IsControl ? step : -step);
                return true;
            case Key.Up:
                Turn(pitch, -step);
                return true;
            case Key.Down:
                Turn(pitch, step);
                return true;
            case Key.Home or Key.Delete or Key.Backspace:
                OnDoubleClick(default);
                return true;
            default:
                return false;
        }
    }

    private static void Turn(ControlValue value, double degrees) => value.Change(Wrapped(value.Now + degrees));

    private static double Wrapped(double degrees) => Math.Round(Math.IEEERemainder(degrees, 360), 1);

    private static void DrawEars(Canvas canvas, Palette palette, float x, float y, float cos, float sin, float size)
    {
        canvas.Disc(x + cos * size, y + sin * size, 8, palette.Sound);
        canvas.Disc(x - cos * size, y - sin * size, 8, palette.Sound);
    }
}
