namespace CaptureProc.Screen.Input;

/// <summary>Keys that are no characters.</summary>
public enum Key
{
    Character, Tab, Enter, Escape, Backspace, Delete, Left, Right, Up, Down, Home, End, PageUp, PageDown, Menu,
}

/// <summary>A key that went down.</summary>
public readonly record struct KeyPress(Key Key, char Character, bool IsFine, bool IsControl);

/// <summary>The mouse at a place of the layout; fine while Shift or Control is held.</summary>
public readonly record struct MousePoint(float X, float Y, bool IsFine);
