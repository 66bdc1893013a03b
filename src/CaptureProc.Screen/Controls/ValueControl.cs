using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>What all controls that move a value have in common: drag, fine drag, wheel, double click, keys.</summary>
public abstract class ValueControl(ControlValue value) : Control
{
    private double heldFrom, shown = double.NaN;
    private float pressedAt, movedTo;
    private int shownNames = -1;
    private bool isDragging;

    public override string Name => value.Name;

    public override ControlValue Value => value;

    public override bool TakesFocus => true;

    public override PointerShape Pointer => PointerShape.Turn;

    /// <summary>How far the mouse goes from one end of the range to the other; upwards and to the right is more.</summary>
    protected virtual float DragLength => 220;

    public override void Refresh(long milliseconds)
    {
        var now = value.Now;
        if (now == shown && value.NamesVersion == shownNames)
            return;
        (shown, shownNames) = (now, value.NamesVersion);
        OnShownChanged();
        Invalidate();
    }

    /// <summary>The value or its names are others.</summary>
    protected virtual void OnShownChanged()
    {
    }

    public override bool OnPress(MousePoint at)
    {
        value.Hold();
        isDragging = true;
        heldFrom = value.Now;
        (pressedAt, movedTo) = (at.X - at.Y, 0);
        return true;
    }

    public override void OnDrag(MousePoint at)
    {
        if (!isDragging)
            return;
        // The distance is gathered step by step, so that a change between fine and coarse does not jump.
        var place = at.X - at.Y;
        movedTo += (place - pressedAt) * (at.IsFine ? 0.1f : 1);
        pressedAt = place;
        var range = value.Maximum - value.Minimum;
        var next = Math.Clamp(heldFrom + movedTo / DragLength * range, value.Minimum, value.Maximum);
        value.Set(value.StepCount > 0 ? Math.Round(next) : Rounded(next));
    }

    public override void OnRelease(MousePoint at)
    {
        if (!isDragging)
            return;
        isDragging = false;
        value.Release();
    }

    public override void OnDoubleClick(MousePoint at) => value.Change(value.Default);

    public override bool OnWheel(MousePoint at, double steps)
    {
        Move(steps, at.IsFine);
        return true;
    }

    public override bool OnKey(KeyPress key)
    {
        switch (key.Key)
        {
            case Key.Up or Key.Right:
                Move(1, key.IsFine);
                return true;
            case Key.Down or Key.Left:
                Move(-1, key.IsFine);
                return true;
            case Key.PageUp:
                Move(10, false);
                return true;
            case Key.PageDown:
                Move(-10, false);
                return true;
            case Key.Home:
                value.Change(value.Minimum);
                return true;
            case Key.End:
                value.Change(value.Maximum);
                return true;
            case Key.Delete or Key.Backspace:
                value.Change(value.Default);
                return true;
            case Key.Enter when value.StepCount == 0:
                Scene?.Enter(this, value);
                return true;
            case Key.Character when value.StepCount == 0 && (char.IsAsciiDigit(key.Character) || key.Character is '-' or '+' or '.' or ','):
                Scene?.Enter(this, value, key.Character.ToString());
                return true;
            default:
                return false;
        }
    }

    protected void Move(double steps, bool isFine) => value.Change(Rounded(value.Now + steps * value.StepOf(isFine)));

    // To what is shown: a number that reads 0.10 is 0.10.
    private double Rounded(double number) => value.StepCount > 0 ? Math.Round(number) : Math.Round(number, value.Decimals);
}
