using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen;

// The mouse, the keyboard, and what lies above the controls for a while.
public sealed unsafe partial class Scene
{
    private const long TipAfterMilliseconds = 700, DoubleClickMilliseconds = 400;
    private const float DoubleClickReach = 4;

    private Control? hovered, held, focused;
    private Overlay? overlay;
    private Box? uncovered;
    private bool showsFocus, overlayNeedsDrawing, hasKeyboard;
    private long now, hoverSince, lastPress = long.MinValue / 2;
    private MousePoint mouse;
    private (float X, float Y) lastPressAt;
    private Control? lastPressed;
    private PointerShape pointer;

    /// <summary>Takes the keyboard from the host, or gives it back.</summary>
    public Action<bool>? UseKeyboard { get; set; }

    /// <summary>Shows another pointer; called when it changes.</summary>
    public Action<PointerShape>? UsePointer { get; set; }

    /// <summary>What a window's menu offers beyond a control's own entries.</summary>
    public Func<IEnumerable<MenuItem>>? WindowMenu { get; set; }

    public Control? Focused => focused;

    public Overlay? Overlay => overlay;

    /// <summary>Something above the controls; it replaces what was there.</summary>
    public void Show(Overlay? next)
    {
        if (overlay != null)
        {
            uncovered = overlay.Reach;
            overlay.Scene = null;
        }
        overlay = next;
        if (next == null)
            return;
        next.Scene = this;
        next.KeepInside(Width, Height);
        overlayNeedsDrawing = true;
    }

    public void InvalidateOverlay() => overlayNeedsDrawing = true;

    public void Focus(Control? control, bool isByKey = true)
    {
        showsFocus = isByKey;
        if (focused == control)
        {
            focused?.Invalidate();
            return;
        }
        if (focused is { } before)
        {
            before.IsFocused = false;
            before.Invalidate();
        }
        focused = control;
        if (control == null)
            return;
        control.IsFocused = true;
        control.Invalidate();
    }

    public void OnFocus(bool keyboard)
    {
        hasKeyboard = keyboard;
        if (!keyboard && overlay is NumberEntry or Menu)
            Show(null);
        if (!keyboard)
            Focus(null);
    }

    /// <summary>A place of the surface in units of the layout.</summary>
    public (float X, float Y) FromPixels(int x, int y) => ((x - left) / scale, (y - top) / scale);

    public (int X, int Y) ToPixels(float x, float y) => ((int)MathF.Round(left + x * scale), (int)MathF.Round(top + y * scale));

    public void OnMove(MousePoint at)
    {
        mouse = at;
        if (held != null)
        {
            held.OnDrag(at);
            return;
        }
        if (overlay is { TakesMouse: true })
        {
            overlay.OnMove(at);
            ShowPointer();
            return;
        }
        Hover(ControlAt(at));
        ShowPointer();
        hovered?.OnHover(at);
        if (overlay is ToolTip tip && tip.Of != hovered)
            Show(null);
    }

    public void OnLeave()
    {
        if (held != null)
            return;
        Hover(null);
        if (overlay is ToolTip)
            Show(null);
    }

    public void OnPress(MousePoint at, int button)
    {
        mouse = at;
        if (overlay is { TakesMouse: true } above)
        {
            if (!above.OnPress(at))
                Show(null);
            return;
        }
        if (overlay != null)
            Show(null);
        var control = ControlAt(at);
        if (button == 3)
        {
            ShowMenu(control, at);
            return;
        }
        if (button != 1 || control == null || !control.IsEnabled)
            return;
        if (control.TakesFocus)
        {
            TakeKeyboard();
            Focus(control, isByKey: false);
        }
        var isDouble = lastPressed == control && now - lastPress < DoubleClickMilliseconds &&
            Math.Abs(at.X - lastPressAt.X) < DoubleClickReach && Math.Abs(at.Y - lastPressAt.Y) < DoubleClickReach;
        (lastPress, lastPressAt, lastPressed) = (now, (at.X, at.Y), isDouble ? null : control);
        if (isDouble)
            control.OnDoubleClick(at);
        else if (control.OnPress(at))
            held = control;
    }

    public void OnRelease(MousePoint at)
    {
        mouse = at;
        var releasing = held;
        held = null;
        releasing?.OnRelease(at);
        if (overlay is { TakesMouse: true })
            overlay.OnRelease(at);
        Hover(ControlAt(at));
        ShowPointer();
    }

    public void OnWheel(MousePoint at, double steps)
    {
        if (overlay is { TakesMouse: true } above)
        {
            above.OnWheel(steps);
            return;
        }
        if (ControlAt(at) is { IsEnabled: true } control)
            control.OnWheel(at, steps);
    }

    /// <summary>False for a key that means nothing here.</summary>
    public bool OnKey(KeyPress key)
    {
        if (overlay is { TakesKeys: true } above)
        {
            above.OnKey(key);
            return true;
        }
        if (key.Key == Key.Tab)
        {
            FocusNext(key.IsFine ? -1 : 1);
            return true;
        }
        if (focused is not { IsEnabled: true, IsVisible: true } control)
            return false;
        if (key.Key == Key.Escape)
        {
            Focus(null);
            hasKeyboard = false;
            UseKeyboard?.Invoke(false);
            return true;
        }
        if (key.Key == Key.Menu)
        {
            ShowMenu(control, new MousePoint(control.Box.X, control.Box.Bottom, false));
            return true;
        }
        showsFocus = true;
        if (!control.OnKey(key))
            return false;
        control.Invalidate();
        return true;
    }

    /// <summary>Lets the user type a number.</summary>
    public void Enter(Control control, ControlValue value, string begin = "")
    {
        TakeKeyboard();
        Show(new NumberEntry(control, value, begin));
    }

    public void TakeKeyboard()
    {
        if (hasKeyboard)
            return;
        hasKeyboard = true;
        UseKeyboard?.Invoke(true);
    }

    private void FocusNext(int direction)
    {
        var start = focused == null ? direction > 0 ? -1 : controls.Count : controls.IndexOf(focused);
        for (var i = 1; i <= controls.Count; i++)
        {
            var control = controls[((start + direction * i) % controls.Count + controls.Count) % controls.Count];
            if (control is not { TakesFocus: true, IsVisible: true, IsEnabled: true })
                continue;
            Focus(control);
            return;
        }
    }

    private void ShowMenu(Control? control, MousePoint at)
    {
        if (control?.Value is { } value && value.ShowHostMenu(at.X, at.Y))
            return;
        var items = new List<MenuItem>();
        if (control is { IsEnabled: true, Value: { } own })
        {
            items.Add(new MenuItem("Back to the default", () => own.Change(own.Default)));
            if (own.StepCount == 0)
                items.Add(new MenuItem("Enter a number …", () => Enter(control, own)));
        }
        items.AddRange(WindowMenu?.Invoke() ?? []);
        if (items.Count > 0)
            Show(new Menu(items, at.X, at.Y));
    }

    private void RefreshOverlay()
    {
        if (overlay == null && held == null && hovered is { Tip.Length: > 0 } && hoverSince > 0 && now - hoverSince > TipAfterMilliseconds)
        {
            hoverSince = 0;
            Show(new ToolTip(hovered, mouse.X, mouse.Y));
        }
        else if (overlay?.Refresh(now) == true)
        {
            overlayNeedsDrawing = true;
        }
    }

    private void Hover(Control? control)
    {
        if (hovered == control)
            return;
        if (hovered is { } before)
        {
            before.IsHovered = false;
            before.Invalidate();
        }
        hovered = control;
        hoverSince = now;
        if (control == null)
            return;
        control.IsHovered = true;
        control.Invalidate();
    }

    private void ShowPointer()
    {
        var next = overlay is { TakesMouse: true } above
            ? above.Box.Contains(mouse.X, mouse.Y) ? above.Pointer : PointerShape.Arrow
            : held?.Pointer ?? (hovered is { IsEnabled: true } ? hovered.Pointer : PointerShape.Arrow);
        if (next == pointer)
            return;
        pointer = next;
        UsePointer?.Invoke(next);
    }

    private Control? ControlAt(MousePoint at)
    {
        for (var i = controls.Count - 1; i >= 0; i--)
            if (controls[i].IsVisible && controls[i].Box.Contains(at.X, at.Y))
                return controls[i];
        return null;
    }
}
