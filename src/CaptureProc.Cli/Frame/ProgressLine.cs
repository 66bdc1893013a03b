using System.Diagnostics;

namespace CaptureProc.Cli.Frame;

/// <summary>One line that says how far the work is, rewritten in place and gone at the end.</summary>
/// <remarks>Thread: [any], one at a time. Without a writer (no terminal) nothing is shown.</remarks>
public sealed class ProgressLine(TextWriter? terminal, string what, Action<string, double>? watcher = null) : IProgress<double>, IDisposable
{
    private const int BarCells = 30;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);

    private readonly Stopwatch sinceShown = Stopwatch.StartNew();
    private bool isShown;

    /// <param name="value">The share that is done, 0…1.</param>
    public void Report(double value)
    {
        watcher?.Invoke(what, Math.Clamp(value, 0, 1));
        if (terminal is null || sinceShown.Elapsed < Pause)
            return;
        sinceShown.Restart();
        var full = (int)(BarCells * Math.Clamp(value, 0, 1));
        terminal.Write($"\r{what} [{new string('#', full)}{new string('.', BarCells - full)}] {100 * value,3:0} %");
        isShown = true;
    }

    public void Dispose()
    {
        if (isShown)
            terminal!.Write($"\r{new string(' ', what.Length + BarCells + 9)}\r");
        isShown = false;
    }
}
