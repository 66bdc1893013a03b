using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>A piece of a window: it draws itself in its box and takes the mouse and the keys that are meant for it.</summary>
/// <remarks>
/// Thread: [main]. <see cref="Refresh"/> comes before each frame and asks for drawing only when something shows differently;
/// neither it nor <see cref="Draw"/> allocates in steady state. What never changes by itself is drawn once, in <see cref="DrawGround"/>.
/// </remarks>
public abstract class Control
{
    private bool isVisible = true, isEnabled = true;

    public Box Box { get; set; }

    /// <summary>What it is, for the keyboard's way through the window and for tool tips.</summary>
    public virtual string Name { get; init; } = "";

    /// <summary>What it does, in a sentence.</summary>
    public string Tip { get; set; } = "";

    public Scene? Scene { get; internal set; }

    public bool IsVisible
    {
        get => isVisible;
        set
        {
            if (isVisible == value)
                return;
            isVisible = value;
            Scene?.RenewGround();
        }
    }

    public bool IsEnabled
    {
        get => isEnabled;
        set
        {
            if (isEnabled == value)
                return;
            isEnabled = value;
            Invalidate();
        }
    }

    /// <summary>Whether the Tab key stops here.</summary>
    public virtual bool TakesFocus => false;

    /// <summary>How the pointer looks over it.</summary>
    public virtual PointerShape Pointer => PointerShape.Arrow;

    /// <summary>The value that it moves, for menus and tool tips.</summary>
    public virtual ControlValue? Value => null;

    public bool IsHovered { get; internal set; }

    public bool IsFocused { get; internal set; }

    internal bool NeedsDrawing { get; set; } = true;

    /// <summary>Where it may draw: a hair beyond its box.</summary>
    internal Box Reach => Box.Inside(-3);

    public void Invalidate() => NeedsDrawing = true;

    /// <summary>Looks whether something shows differently from how it was drawn.</summary>
    public virtual void Refresh(long milliseconds)
    {
    }

    /// <summary>What stays the same until the layout changes.</summary>
    public virtual void DrawGround(Canvas canvas, Palette palette)
    {
    }

    public abstract void Draw(Canvas canvas, Palette palette);

    /// <summary>The left button goes down inside; true to get the moves that follow.</summary>
    public virtual bool OnPress(MousePoint at) => false;

    public virtual void OnDrag(MousePoint at)
    {
    }

    public virtual void OnRelease(MousePoint at)
    {
    }

    public virtual void OnDoubleClick(MousePoint at)
    {
    }

    public virtual bool OnWheel(MousePoint at, double steps) => false;

    public virtual bool OnKey(KeyPress key) => false;

    /// <summary>The mouse has come in, moves inside, or has left.</summary>
    public virtual void OnHover(MousePoint at)
    {
    }
}
