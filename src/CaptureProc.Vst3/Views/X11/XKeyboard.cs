namespace CaptureProc.Vst3.Views.X11;

/// <summary>From key codes to keys and characters, by the server's own table.</summary>
/// <remarks>Thread: [main]. Key symbols below 0x100 are Latin-1; those above that matter here are named in keysymdef.h.</remarks>
internal sealed unsafe class XKeyboard(nint connection)
{
    private const ushort ShiftBit = 1, LockBit = 2, ControlBit = 4, AltBit = 8, NumLockBit = 16;

    private uint[] symbols = [];
    private int firstCode, symbolsPerCode;

    public static ViewModifiers Held(ushort state) =>
        ((state & ShiftBit) != 0 ? ViewModifiers.Shift : 0) | ((state & ControlBit) != 0 ? ViewModifiers.Control : 0) |
        ((state & AltBit) != 0 ? ViewModifiers.Alt : 0);

    /// <summary>Asks the server for its table: before the first key, and when it says that it has another one.</summary>
    public void Read()
    {
        var setup = Xcb.Setup(connection);
        firstCode = setup[34];
        var count = (byte)(setup[35] - firstCode + 1);
        var reply = Xcb.GetKeyboardMappingReply(connection, Xcb.GetKeyboardMapping(connection, (byte)firstCode, count), null);
        if (reply == null)
            return;
        symbolsPerCode = reply[1];
        symbols = new ReadOnlySpan<uint>(reply + 32, *(int*)(reply + 4)).ToArray();
        Xcb.Free(reply);
    }

    public bool TryRead(byte code, ushort state, out KeyInput input)
    {
        if (symbols.Length == 0)
            Read();
        input = default;
        var at = (code - firstCode) * symbolsPerCode;
        if (symbolsPerCode == 0 || at < 0 || at + symbolsPerCode > symbols.Length)
            return false;
        var (plain, shifted) = (symbols[at], symbolsPerCode > 1 ? symbols[at + 1] : 0);
        var isKeypad = shifted is >= 0xFF80 and <= 0xFFB9;
        var isUpper = isKeypad ? (state & NumLockBit) != 0 : (state & ShiftBit) != 0;
        var symbol = isUpper && shifted != 0 ? shifted : plain;
        ViewKey? key = symbol switch
        {
            0xFF08 => ViewKey.Backspace,
            0xFF09 or 0xFE20 => ViewKey.Tab,
            0xFF0D or 0xFF8D => ViewKey.Enter,
            0xFF1B => ViewKey.Escape,
            0xFFFF or 0xFF9F => ViewKey.Delete,
            0xFF50 or 0xFF95 => ViewKey.Home,
            0xFF51 or 0xFF96 => ViewKey.Left,
            0xFF52 or 0xFF97 => ViewKey.Up,
            0xFF53 or 0xFF98 => ViewKey.Right,
            0xFF54 or 0xFF99 => ViewKey.Down,
            0xFF55 or 0xFF9A => ViewKey.PageUp,
            0xFF56 or 0xFF9B => ViewKey.PageDown,
            0xFF57 or 0xFF9C => ViewKey.End,
            0xFF67 => ViewKey.Menu,
            _ => null,
        };
        var character = key != null ? '\0' : CharacterOf(symbol);
        if (character is >= 'a' and <= 'z' && (state & LockBit) != 0 && (state & ShiftBit) == 0)
            character = char.ToUpperInvariant(character);
        input = new KeyInput(key ?? ViewKey.Character, character, Held(state));
        return key != null || character != '\0';
    }

    private static char CharacterOf(uint symbol) => symbol switch
    {
        >= 0x20 and <= 0x7E or >= 0xA0 and <= 0xFF => (char)symbol,
        >= 0xFFAA and <= 0xFFB9 => (char)(symbol - 0xFF80),
        >= 0x0100_0020 and <= 0x0100_FFFF => (char)(symbol - 0x0100_0000),
        _ => '\0',
    };
}
