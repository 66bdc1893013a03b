using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen;

/// <summary>Something that lies above the controls for a while: a menu, a tool tip, a field to type in.</summary>
/// <remarks>Thread: [main].</remarks>
public abstract class Overlay
{
    public Box Box { get; protected set; }

    public Scene? Scene { get; internal set; }

    internal Box Reach => Box.Inside(-6);

    public virtual bool TakesMouse => true;

    public virtual bool TakesKeys => true;

    /// <summary>How the pointer looks over it.</summary>
    public virtual PointerShape Pointer => PointerShape.Press;

    public abstract void Draw(Canvas canvas, Palette palette);

    /// <summary>Whether it has to be drawn again.</summary>
    public virtual bool Refresh(long milliseconds) => false;

    public virtual void OnMove(MousePoint at)
    {
    }

    /// <summary>False for a press outside, which closes it.</summary>
    public virtual bool OnPress(MousePoint at) => Box.Contains(at.X, at.Y);

    public virtual void OnRelease(MousePoint at)
    {
    }

    public virtual void OnWheel(double steps)
    {
    }

    public virtual void OnKey(KeyPress key)
    {
    }

    internal void KeepInside(float width, float height)
    {
        const float margin = 6;
        var x = Math.Clamp(Box.X, margin, Math.Max(margin, width - margin - Box.Width));
        var y = Math.Clamp(Box.Y, margin, Math.Max(margin, height - margin - Box.Height));
        Box = Box with { X = x, Y = y };
    }

    protected void DrawSheet(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Box.Inside(-3), 9, palette.Ground.Faded(0.55f));
        canvas.FillRound(Box, 7, palette.Panel.Towards(palette.Ink, 0.06f));
        canvas.FrameRound(Box, 7, palette.LineWidth, palette.Faint);
    }
}
