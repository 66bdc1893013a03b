namespace CaptureProc.Vst3.Views;

/// <summary>What the mouse has done.</summary>
public enum PointerAction
{
    Move, Press, Release, Leave,
}

/// <summary>Keys held down.</summary>
[Flags]
public enum ViewModifiers
{
    None = 0, Shift = 1, Control = 2, Alt = 4,
}

/// <summary>Keys that are no characters.</summary>
public enum ViewKey
{
    Character, Tab, Enter, Escape, Backspace, Delete, Left, Right, Up, Down, Home, End, PageUp, PageDown, Menu,
}

/// <summary>Shapes of the mouse's pointer that every platform has.</summary>
public enum ViewPointer
{
    Arrow, Hand, UpDown, AllWays, Text,
}

/// <summary>One thing that the mouse did, at a place of the surface; buttons count from 1: left, middle, right.</summary>
public readonly record struct PointerInput(PointerAction Action, int X, int Y, int Button, ViewModifiers Modifiers);

/// <summary>One key that went down; <paramref name="Character"/> is 0 unless it is a character.</summary>
public readonly record struct KeyInput(ViewKey Key, char Character, ViewModifiers Modifiers);
