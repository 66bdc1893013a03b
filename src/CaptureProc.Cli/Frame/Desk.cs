using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using CaptureProc.Rendering;
using CaptureProc.Session;
using CaptureProc.Wav;
using Spectre.Console;

namespace CaptureProc.Cli.Frame;

/// <summary>What a command shows to the person, or the program, that called it.</summary>
/// <remarks>Results go to standard output, everything said on the way to standard error; with --json the result is one object.</remarks>
/// <param name="stdout">Results.</param>
/// <param name="stderr">Messages and progress.</param>
/// <param name="isJson">Whether the result is one object.</param>
/// <param name="isTerminal">Whether a person watches.</param>
/// <param name="watcher">Told what is being done and which share of it, by whatever shows it elsewhere; null for nobody.</param>
public sealed class Desk(TextWriter stdout, TextWriter stderr, bool isJson, bool isTerminal, Action<string, double>? watcher = null)
{
    public const int Done = 0;
    public const int NeedsAttention = 1;
    public const int Unusable = 2;

    // A session is held for milliseconds: whoever waits longer has to do with a command that stands still, and has a result to lose.
    private static readonly TimeSpan SessionPatience = TimeSpan.FromMinutes(10);

    private readonly List<string> warnings = [];
    private bool needsAttention;

    public bool IsJson { get; } = isJson;

    /// <summary>Everything warned of so far.</summary>
    public IReadOnlyList<string> Warnings => warnings;

    /// <summary>The same for the JSON result.</summary>
    public JsonArray WarningsAsJson() => new([.. warnings.Select(w => (JsonNode)w)]);

    /// <summary>For a command that goes on after it has shown something.</summary>
    public void Flush()
    {
        stdout.Flush();
        stderr.Flush();
    }

    /// <summary>Says something in passing.</summary>
    public void Say(string line) => stderr.WriteLine(line);

    /// <summary>Says what a person should know although the work goes on.</summary>
    public void Warn(string line)
    {
        warnings.Add(line);
        stderr.WriteLine($"warning: {line}");
    }

    /// <summary>Warns of something that makes the exit code 1 at least.</summary>
    public void Attend(string line)
    {
        Warn(line);
        needsAttention = true;
    }

    /// <summary>Says what a person should know about the files of a recording.</summary>
    public void Tell(WavInput recording)
    {
        foreach (var line in recording.Warnings)
            Warn(line);
        foreach (var line in recording.Faults)
            Attend(line);
    }

    /// <summary>The exit code of a command, raised where something was said that needs attention.</summary>
    public int ExitCode(int exitCode) => Math.Max(exitCode, needsAttention ? NeedsAttention : Done);

    /// <summary>How this command waits for its turn at a session, and what others are told meanwhile.</summary>
    public SessionWaiting Waiting => new(SessionPatience, $"captureproc {CommandName} (process {Environment.ProcessId})", Say);

    /// <summary>Of the command that runs.</summary>
    public string CommandName { get; set; } = "";

    /// <summary>Warns of everything; returns the exit code, which is 1 as soon as there is a finding.</summary>
    public int Tell(IEnumerable<string> inPassing, IReadOnlyCollection<Finding> findings)
    {
        foreach (var line in inPassing.Concat(findings.Select(f => f.Message)))
            Warn(line);
        return findings.Count > 0 ? NeedsAttention : Done;
    }

    /// <summary>The result in words; left out with --json.</summary>
    public void Show(string line)
    {
        if (!IsJson)
            stdout.WriteLine(line);
    }

    /// <summary>The result as a table; left out with --json.</summary>
    public void Show(Table table)
    {
        if (IsJson)
            return;
        var console = AnsiConsole.Create(new AnsiConsoleSettings
        {
            Ansi = AnsiSupport.No,
            ColorSystem = ColorSystemSupport.NoColors,
            Out = new AnsiConsoleOutput(stdout),
        });
        // A table cut to 80 columns in a log is of no use; a terminal wraps by itself.
        console.Profile.Width = 160;
        console.Write(table);
    }

    /// <summary>The result for programs; left out without --json.</summary>
    public void Show(JsonNode result)
    {
        if (IsJson)
            stdout.WriteLine(Format(result));
    }

    /// <summary>Shows how far the work is, on a terminal only. Dispose it before anything else is said.</summary>
    public ProgressLine Progress(string what) => new(isTerminal ? stderr : null, what, watcher, Say);

    /// <summary>The one line (or object) of a command that could not be carried out.</summary>
    public int Refuse(string code, string message)
    {
        if (IsJson && code != ResultWriter.RefusalCode)
            stdout.WriteLine(Format(new JsonObject { ["error"] = new JsonObject { ["code"] = code, ["message"] = message } }));
        else
            stderr.WriteLine($"error: {message.ReplaceLineEndings(" ")}");
        return Unusable;
    }

    private static string Format(JsonNode node)
    {
        using var stream = new MemoryStream();
        using (var writer = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping }))
            node.WriteTo(writer);
        return Encoding.UTF8.GetString(stream.ToArray());
    }
}
