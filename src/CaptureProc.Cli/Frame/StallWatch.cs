using System.Diagnostics;
using System.Globalization;

namespace CaptureProc.Cli.Frame;

/// <summary>Says what a command waits for when its work makes no progress.</summary>
/// <remarks>
/// Counted in the time of the processor, so that a slow or crowded machine alone is no stall; and in that of the clock where the
/// processor is hardly used at all. Thread: [any].
/// </remarks>
internal sealed class StallWatch(string what, Action<string> say, Func<TimeSpan> processorTime, Func<TimeSpan> clock)
{
    private static readonly TimeSpan Work = TimeSpan.FromSeconds(60);
    private static readonly TimeSpan Standstill = TimeSpan.FromMinutes(5);

    private readonly Lock gate = new();
    private double share;
    private (TimeSpan Processor, TimeSpan Clock) last = (processorTime(), clock());

    /// <summary>The work has come so far.</summary>
    public void Progress(double value)
    {
        lock (gate)
        {
            if (value == share)
                return;
            share = value;
            last = (processorTime(), clock());
        }
    }

    /// <summary>Looks whether anything has moved; says so once for every stretch without progress.</summary>
    public void Look()
    {
        lock (gate)
        {
            var (worked, waited) = (processorTime() - last.Processor, clock() - last.Clock);
            var line = worked >= Work ? $"no progress in {worked.TotalSeconds:0} s of the processor's time"
                : waited >= Standstill ? $"no progress in {waited.TotalMinutes:0} minutes, in which the processor worked for {worked.TotalSeconds:0} s"
                : null;
            if (line is null)
                return;
            last = (processorTime(), clock());
            say(string.Create(CultureInfo.InvariantCulture, $"{what}: {line}, at {100 * share:0} %; {Threads()}"));
        }
    }

    // What the kernel says of the threads that bear our names: R runs, S and D wait (for another thread, or for the disk).
    private static string Threads()
    {
        if (!OperatingSystem.IsLinux())
            return "break off with Ctrl+C if it does not go on";
        var states = new List<string>();
        foreach (var task in Directory.GetDirectories("/proc/self/task"))
        {
            try
            {
                var stat = File.ReadAllText(Path.Combine(task, "stat"));
                var (open, close) = (stat.IndexOf('('), stat.LastIndexOf(')'));
                var name = stat[(open + 1)..close];
                var isMain = Path.GetFileName(task) == Environment.ProcessId.ToString(CultureInfo.InvariantCulture);
                if (!isMain && !name.StartsWith(ThreadPrefix, StringComparison.Ordinal))
                    continue;
                states.Add($"{(isMain ? "the main thread" : name[ThreadPrefix.Length..].Trim())} {Word(stat[close + 2])}");
            }
            catch (IOException)
            {
                // A thread that has just ended.
            }
        }
        return $"{string.Join(", ", states.Order(StringComparer.Ordinal))}; break off with Ctrl+C if it does not go on";
    }

    private const string ThreadPrefix = "CaptureProc";

    private static string Word(char state) => state switch
    {
        'R' => "runs or waits for a processor",
        'D' => "waits for the disk",
        'T' => "is stopped",
        _ => "waits for another thread",
    };

    /// <summary>The time that this process has had of the processors.</summary>
    public static TimeSpan ProcessorTime()
    {
        using var process = Process.GetCurrentProcess();
        return process.TotalProcessorTime;
    }

    private static readonly long Begin = Stopwatch.GetTimestamp();

    public static TimeSpan Clock() => Stopwatch.GetElapsedTime(Begin);
}
