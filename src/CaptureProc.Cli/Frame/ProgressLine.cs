using System.Diagnostics;

namespace CaptureProc.Cli.Frame;

/// <summary>One line that says how far the work is, rewritten in place and gone at the end; and a word where it does not go on.</summary>
/// <remarks>Thread: [any], one at a time. Without a writer (no terminal) no line is shown.</remarks>
public sealed class ProgressLine : IProgress<double>, IDisposable
{
    private const int BarCells = 30;
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(100);
    private static readonly TimeSpan LookEvery = TimeSpan.FromSeconds(5);

    private readonly TextWriter? terminal;
    private readonly string what;
    private readonly Action<string, double>? watcher;
    private readonly Stopwatch sinceShown = Stopwatch.StartNew();
    private readonly StallWatch? watch;
    private readonly Timer? timer;
    private bool isShown;

    /// <param name="terminal">Where the line is shown; null for nowhere.</param>
    /// <param name="what">What is being done.</param>
    /// <param name="watcher">Told every step; null for nobody.</param>
    /// <param name="say">Told when the work does not go on; null for nobody.</param>
    public ProgressLine(TextWriter? terminal, string what, Action<string, double>? watcher = null, Action<string>? say = null)
    {
        (this.terminal, this.what, this.watcher) = (terminal, what, watcher);
        if (say is null)
            return;
        watch = new StallWatch(what, say, StallWatch.ProcessorTime, StallWatch.Clock);
        timer = new Timer(_ => watch.Look(), null, LookEvery, LookEvery);
    }

    /// <param name="value">The share that is done, 0…1.</param>
    public void Report(double value)
    {
        watcher?.Invoke(what, Math.Clamp(value, 0, 1));
        watch?.Progress(value);
        if (terminal is null || sinceShown.Elapsed < Pause)
            return;
        sinceShown.Restart();
        var full = (int)(BarCells * Math.Clamp(value, 0, 1));
        terminal.Write($"\r{what} [{new string('#', full)}{new string('.', BarCells - full)}] {100 * value,3:0} %");
        isShown = true;
    }

    public void Dispose()
    {
        timer?.Dispose();
        if (isShown)
            terminal!.Write($"\r{new string(' ', what.Length + BarCells + 9)}\r");
        isShown = false;
    }
}
