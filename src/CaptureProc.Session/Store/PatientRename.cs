namespace CaptureProc.Session;

/// <summary>A rename that waits a moment for whoever has the target open.</summary>
/// <remarks>
/// Windows refuses to rename over a file that a program has open without sharing its deletion: a virus scanner, a backup, a plug-in that
/// reads a session just then. All of these let go within a moment. Elsewhere a rename never meets that, and is tried once.
/// Source: Windows error codes ERROR_ACCESS_DENIED (5) and ERROR_SHARING_VIOLATION (32).
/// </remarks>
internal static class PatientRename
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(20);

    public static void Move(string from, string to, bool overwrite)
    {
        if (OperatingSystem.IsWindows())
            Repeat(() => File.Move(from, to, overwrite), Patience);
        else
            File.Move(from, to, overwrite);
    }

    /// <summary>Does it until nobody is in the way; when patience has run out, the refusal goes to the caller.</summary>
    internal static void Repeat(Action move, TimeSpan patience)
    {
        for (var waited = TimeSpan.Zero; ; waited += Pause)
        {
            try
            {
                move();
                return;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException && (e.HResult & 0xFFFF) is 5 or 32 && waited < patience)
            {
                Thread.Sleep(Pause);
            }
        }
    }
}
