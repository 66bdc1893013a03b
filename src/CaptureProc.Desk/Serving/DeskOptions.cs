namespace CaptureProc.DeskServer;

/// <summary>Runs one command of the command line: its words in, its texts out.</summary>
/// <param name="words">As after <c>captureproc</c>.</param>
/// <param name="stdout">Takes the result; with --json one object.</param>
/// <param name="stderr">Takes what is said on the way.</param>
/// <param name="watcher">Told what is being done and which share of it; whatever it throws ends the command.</param>
/// <returns>The exit code.</returns>
public delegate int CommandRunner(string[] words, TextWriter stdout, TextWriter stderr, Action<string, double> watcher);

/// <summary>What the desk was opened for.</summary>
/// <param name="FolderPath">The one folder that the page may see.</param>
/// <param name="Run">The command line.</param>
public sealed record DeskOptions(string FolderPath, CommandRunner Run)
{
    /// <summary>The session file; null while there is none.</summary>
    public string? SessionPath { get; init; }

    /// <summary>0 takes any port that is free.</summary>
    public int Port { get; init; }

    /// <summary>Reads the page from a folder instead of from the program: for people who work on it.</summary>
    public string? PageFolder { get; init; }
}
