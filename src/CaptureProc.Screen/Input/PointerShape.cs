namespace CaptureProc.Screen.Input;

/// <summary>What the mouse's pointer tells of the thing below it.</summary>
public enum PointerShape
{
    /// <summary>Nothing to take hold of.</summary>
    Arrow,

    /// <summary>To be pressed.</summary>
    Press,

    /// <summary>To be dragged up and down.</summary>
    Turn,

    /// <summary>To be dragged any way.</summary>
    Grab,

    /// <summary>To be typed into.</summary>
    Text,
}
