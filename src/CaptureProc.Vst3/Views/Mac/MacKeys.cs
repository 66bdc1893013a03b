namespace CaptureProc.Vst3.Views.Mac;

/// <summary>From the characters of a key event to keys; function keys are in the private use area (NSEvent.h).</summary>
internal static class MacKeys
{
    public static bool TryRead(char character, ViewModifiers held, out KeyInput input)
    {
        ViewKey? key = character switch
        {
            (char)0x7F or (char)0x08 => ViewKey.Backspace,
            '\t' or (char)0x19 => ViewKey.Tab,
            '\r' or (char)0x03 => ViewKey.Enter,
            (char)0x1B => ViewKey.Escape,
            (char)0xF700 => ViewKey.Up,
            (char)0xF701 => ViewKey.Down,
            (char)0xF702 => ViewKey.Left,
            (char)0xF703 => ViewKey.Right,
            (char)0xF728 => ViewKey.Delete,
            (char)0xF729 => ViewKey.Home,
            (char)0xF72B => ViewKey.End,
            (char)0xF72C => ViewKey.PageUp,
            (char)0xF72D => ViewKey.PageDown,
            _ => null,
        };
        input = new KeyInput(key ?? ViewKey.Character, key == null ? character : '\0', held);
        return key != null || character is >= ' ' and < (char)0xF700;
    }
}
