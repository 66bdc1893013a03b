namespace CaptureProc.Session.Published;

/// <summary>The one folder of a user where command line and plug-ins meet.</summary>
/// <remarks>
/// Follows each platform's convention: $XDG_DATA_HOME/captureproc/sessions (by default ~/.local/share/…) on Linux,
/// ~/Library/Application Support/CaptureProc/Sessions on macOS, %LOCALAPPDATA%\CaptureProc\Sessions on Windows.
/// The environment variable <see cref="EnvironmentVariable"/> puts it elsewhere: for tests, and for hosts in a sandbox.
/// </remarks>
public static class PublishedFolder
{
    public const string EnvironmentVariable = "CAPTUREPROC_SESSIONS";

    /// <summary>The folder's path; the folder need not be there yet.</summary>
    public static string Locate()
    {
        if (Environment.GetEnvironmentVariable(EnvironmentVariable) is { Length: > 0 } elsewhere)
            return Path.GetFullPath(elsewhere);
        var home = Environment.GetFolderPath(Environment.SpecialFolder.UserProfile, Environment.SpecialFolderOption.DoNotVerify);
        if (OperatingSystem.IsMacOS())
            return Path.Combine(home, "Library", "Application Support", "CaptureProc", "Sessions");
        if (OperatingSystem.IsWindows())
        {
            return Path.Combine(
                Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify),
                "CaptureProc", "Sessions");
        }
        // The base directory specification asks to ignore a relative path here.
        var data = Environment.GetEnvironmentVariable("XDG_DATA_HOME");
        return Path.Combine(Path.IsPathRooted(data) ? data : Path.Combine(home, ".local", "share"), "captureproc", "sessions");
    }
}
