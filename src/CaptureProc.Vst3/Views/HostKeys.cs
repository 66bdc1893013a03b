namespace CaptureProc.Vst3.Views;

/// <summary>Reads the keys that a host passes to a view instead of the window system.</summary>
/// <remarks>Source: VST 3 SDK 3.8.1, keycodes.h (VirtualKeyCodes, KeyModifier).</remarks>
internal static class HostKeys
{
    public static bool TryRead(char character, short code, short modifiers, out KeyInput input)
    {
        var held = ((modifiers & 1) != 0 ? ViewModifiers.Shift : 0) | ((modifiers & 2) != 0 ? ViewModifiers.Alt : 0) |
            ((modifiers & 12) != 0 ? ViewModifiers.Control : 0);
        ViewKey? key = code switch
        {
            1 => ViewKey.Backspace,
            2 => ViewKey.Tab,
            4 or 19 => ViewKey.Enter,
            6 => ViewKey.Escape,
            9 => ViewKey.End,
            10 => ViewKey.Home,
            11 => ViewKey.Left,
            12 => ViewKey.Up,
            13 => ViewKey.Right,
            14 => ViewKey.Down,
            15 => ViewKey.PageUp,
            16 => ViewKey.PageDown,
            22 => ViewKey.Delete,
            _ => null,
        };
        if (code == 7)
            character = ' ';
        input = new KeyInput(key ?? ViewKey.Character, key == null ? character : '\0', held);
        return key != null || character >= ' ';
    }
}
