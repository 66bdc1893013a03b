using System.Diagnostics;
using System.Text.Json;
using CaptureProc.Session;

namespace CaptureProc.DeskServer.Jobs;

/// <summary>One command that runs, or has run.</summary>
/// <remarks>Thread: [any]. It goes on when the page is closed; it ends early when it is stopped, and then leaves nothing half written.</remarks>
internal sealed class Job(int id, CommandOrder order)
{
    private readonly Stopwatch watch = Stopwatch.StartNew();
    private volatile bool isStopping;
    private volatile JobState? end;

    public int Id { get; } = id;

    public CommandOrder Order { get; } = order;

    public bool IsDone => end is not null;

    /// <summary>As it is now.</summary>
    public JobState State => end ?? new JobState
    {
        Id = Id, Order = Order, Doing = Doing, Share = Share, SecondsLeft = SecondsLeft, IsStopping = isStopping,
    };

    private string Doing { get; set; } = "waiting";

    private double Share { get; set; }

    // Early on the rest is a guess from a few hundredths; it is said from 2 % on.
    private double? SecondsLeft => Share > 0.02 ? watch.Elapsed.TotalSeconds * (1 - Share) / Share : null;

    /// <summary>Asks the command to end at its next report of progress.</summary>
    public void Stop() => isStopping = true;

    /// <summary>Runs the command on this thread.</summary>
    public void Run(CommandRunner run, string[] words, Action changed)
    {
        using StringWriter stdout = new(), stderr = new();
        var told = Stopwatch.StartNew();
        var exitCode = run(words, stdout, stderr, (doing, share) =>
        {
            // Not a cancellation: the stages of a rendering take one for the end of another stage.
            if (isStopping)
                throw new UnusableInputException("stopped", "stopped as asked; nothing was written");
            (Doing, Share) = (doing, share);
            if (told.ElapsedMilliseconds < 100)
                return;
            told.Restart();
            changed();
        });
        end = new JobState
        {
            Id = Id, Order = Order, Doing = "done", Share = 1, ExitCode = exitCode, Seconds = watch.Elapsed.TotalSeconds,
            Result = Parse(stdout.ToString(), stderr), Said = [.. stderr.ToString().Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)],
        };
    }

    private static JsonElement? Parse(string text, StringWriter otherwise)
    {
        if (string.IsNullOrWhiteSpace(text))
            return null;
        try
        {
            using var document = JsonDocument.Parse(text);
            return document.RootElement.Clone();
        }
        catch (JsonException)
        {
            // Words in place of an object are still worth reading.
            otherwise.WriteLine(text);
            return null;
        }
    }
}

/// <summary>What the page is told about a job.</summary>
internal sealed record JobState
{
    public required int Id { get; init; }

    public required CommandOrder Order { get; init; }

    public required string Doing { get; init; }

    /// <summary>0…1.</summary>
    public double Share { get; init; }

    public double? SecondsLeft { get; init; }

    public bool IsStopping { get; init; }

    /// <summary>Null while it runs.</summary>
    public int? ExitCode { get; init; }

    public double? Seconds { get; init; }

    /// <summary>What the command printed with --json.</summary>
    public JsonElement? Result { get; init; }

    /// <summary>What it said on the way.</summary>
    public IReadOnlyList<string> Said { get; init; } = [];
}
