using CaptureProc.Cli.Commands;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Simulation.Scenarios;

namespace CaptureProc.Cli.Demo;

/// <summary>The whole job on the demo's recordings: the very commands of the README's chapter, run in this process.</summary>
internal sealed class DemoJob(Desk desk, string folder, bool replace)
{
    public const string SessionFile = "evening.json";

    /// <summary>The commands, as they are typed in the demo's folder. A test holds the README to them.</summary>
    public static IReadOnlyList<string[]> Commands { get; } =
    [
        [StartCommand.Name, SessionFile, "--title", TideMill.Title, "--recording", DemoRecordings.LineUp, "--temperature", Number(TideMill.TemperatureC),
            "--preset", "main=tetra-15mm-cardioid-hanging", "--preset", "cimbalom=tetra-12mm-cardioid", "--mount", $"cimbalom={Number(TideMill.CimbalomYawDeg)},0,0"],
        [SignalCommand.Name, "pink", "pink.wav", "--level", "-12", "--seconds", "60"],
        [LevelCommand.Name, DemoRecordings.LineUp],
        [PatchCommand.Name, DemoRecordings.Taps],
        [PlanCommand.Name, "--volume", "1500", "--reverberation", "1.2", "--array-distance", "3"],
        [MeasureCommand.Name, DemoRecordings.Slate],
        [PlanCommand.Name, DemoRecordings.Rehearsal, "--from", "1", "--to", "18"],
        [ConvertCommand.Name, DemoRecordings.Take, "field.wav"],
        [AlignCommand.Name, DemoRecordings.Take, "aligned", "--place"],
        [MixCommand.Name, DemoRecordings.Take, "mix.wav"],
        [ListenCommand.Name, "mix.wav", "ears.wav", "--as", "binaural", "--yaw", "40"],
        [DeliverCommand.Name, "mix.wav", "out.wav", "--loudness", "-23"],
        [NoteCommand.Name, "--people", "eight players", "--take", "take.wav=Nine Lanterns"],
        [ReportCommand.Name, "evening.html"],
    ];

    /// <summary>Runs them one after the other; the first that refuses ends the demo with its own words.</summary>
    /// <remarks>A command that finds something out of tolerance goes on: the line-up of this session is meant to be.</remarks>
    public void Run()
    {
        foreach (var command in Commands)
        {
            desk.Say($"$ captureproc {Line(command)}");
            var (stdout, stderr) = (new StringWriter(), new StringWriter());
            var exitCode = CommandLineProgram.Run(Arguments(command), stdout, stderr);
            if (exitCode == Desk.Unusable)
                throw new UnusableInputException("demo-failed", $"captureproc {command[0]}: {LastLine(stderr.ToString())}");
            // What a command finds out of order is heard by whoever looks on, as it would be at the desk.
            foreach (var warning in stderr.ToString().Split('\n').Where(line => line.StartsWith("warning: ", StringComparison.Ordinal)))
                desk.Say($"  {warning}");
        }
    }

    /// <summary>A command as it is typed.</summary>
    public static string Line(string[] command) =>
        string.Join(' ', command.Select(word => word.Contains(' ', StringComparison.Ordinal) ? $"\"{word}\"" : word));

    /// <summary>The same for a process that stands elsewhere: the session by name, and every file in the demo's folder.</summary>
    private string[] Arguments(string[] command)
    {
        var words = command[1..].Select(InFolder);
        if ((command.Skip(1).Any(IsFile) && command[0] is not (StartCommand.Name or SignalCommand.Name)) || command[0] == NoteCommand.Name)
            words = words.Prepend(InFolder(SessionFile));
        return [command[0], .. words, .. replace && IsWriting(command[0]) ? ["--replace"] : Array.Empty<string>()];
    }

    private string InFolder(string word) => IsFile(word) ? Path.Combine(folder, word) : word;

    private static bool IsFile(string word) => word is "aligned" || Path.GetExtension(word) is ".wav" or ".json" or ".html";

    private static bool IsWriting(string command) => command is not (LevelCommand.Name or PatchCommand.Name or PlanCommand.Name or MeasureCommand.Name or NoteCommand.Name);

    private static string LastLine(string said) => said.TrimEnd().Split('\n')[^1].Replace("error: ", "", StringComparison.Ordinal);

    private static string Number(double value) => FormattableString.Invariant($"{value:0.##}");
}
