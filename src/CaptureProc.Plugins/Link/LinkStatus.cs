namespace CaptureProc.Plugins.Link;

/// <summary>How the values that a plug-in plays stand to the session file they came from.</summary>
public enum LinkStatus
{
    /// <summary>No session has been chosen; everything is set by hand.</summary>
    NoSession,

    /// <summary>The values in use are those of the file.</summary>
    InStep,

    /// <summary>The file has other values, and following is off.</summary>
    Changed,

    /// <summary>The file is not where it was; the saved values play.</summary>
    Missing,

    /// <summary>The file cannot be read as a session; the saved values play.</summary>
    Damaged,

    /// <summary>The file was written by a newer version; the saved values play.</summary>
    Newer,
}
