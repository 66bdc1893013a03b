namespace CaptureProc.Vst3.Views.Windows;

/// <summary>From virtual key codes (winuser.h) to keys that are no characters; characters come as WM_CHAR.</summary>
internal static class WindowsKeys
{
    public static bool TryRead(int code, ViewModifiers held, out KeyInput input)
    {
        ViewKey? key = code switch
        {
            0x08 => ViewKey.Backspace,
            0x09 => ViewKey.Tab,
            0x0D => ViewKey.Enter,
            0x1B => ViewKey.Escape,
            0x21 => ViewKey.PageUp,
            0x22 => ViewKey.PageDown,
            0x23 => ViewKey.End,
            0x24 => ViewKey.Home,
            0x25 => ViewKey.Left,
            0x26 => ViewKey.Up,
            0x27 => ViewKey.Right,
            0x28 => ViewKey.Down,
            0x2E => ViewKey.Delete,
            0x5D => ViewKey.Menu,
            _ => null,
        };
        input = new KeyInput(key ?? ViewKey.Character, '\0', held);
        return key != null;
    }
}
