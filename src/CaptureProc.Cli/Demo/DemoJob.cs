using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Simulation.Scenarios;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Cli.Demo;

/// <summary>The whole job on the demo's recordings: the very commands that a person would give, run in this process.</summary>
internal sealed class DemoJob(Desk desk, string folder, bool replace)
{
    public const string SessionFile = "session.json";

    /// <summary>The commands, with file names as seen from the demo's folder.</summary>
    public static IReadOnlyList<string[]> Commands(Scene scene)
    {
        var yaw = FormattableString.Invariant($"{TideMill.CimbalomYawDeg:0},0,0");
        var temperature = FormattableString.Invariant($"{TideMill.TemperatureC:0}");
        return
        [
            ["start", SessionFile, "--title", TideMill.Title, "--from", DemoRecordings.Slate, "--temperature", temperature,
                "--array", "main=1-4", "--preset", "main=tetra-15mm-cardioid-hanging", .. Spots(scene),
                "--preset", "cimbalom=tetra-12mm-cardioid", "--mount", $"cimbalom={yaw}"],
            ["level", SessionFile, DemoRecordings.LineUp],
            ["measure", SessionFile, DemoRecordings.Slate],
            ["convert", SessionFile, DemoRecordings.Take, "field.wav", "--correction", "full"],
            ["align", SessionFile, DemoRecordings.Take, "aligned", "--place"],
            ["mix", SessionFile, DemoRecordings.Take, "mix.wav"],
        ];
    }

    /// <summary>Runs them one after the other; the first that refuses ends the demo with its own words.</summary>
    /// <remarks>A command that finds something out of tolerance goes on: the line-up of this session is meant to be.</remarks>
    public void Run(Scene scene)
    {
        foreach (var command in Commands(scene))
        {
            var words = string.Join(' ', command.Select(word => word.Contains(' ', StringComparison.Ordinal) ? $"\"{word}\"" : word));
            desk.Say($"$ captureproc {words}");
            var (stdout, stderr) = (new StringWriter(), new StringWriter());
            string[] arguments = [.. command.Select(InFolder), .. replace && Writes(command[0]) ? ["--replace"] : Array.Empty<string>()];
            var exitCode = CommandLineProgram.Run(arguments, stdout, stderr);
            if (exitCode == Desk.Unusable)
                throw new UnusableInputException("demo-failed", $"captureproc {command[0]}: {LastLine(stderr.ToString())}");
        }
    }

    /// <summary>Session and audio live in the demo's folder; every other word is left alone.</summary>
    private string InFolder(string word) =>
        word is SessionFile or "aligned" || word.EndsWith(".wav", StringComparison.Ordinal) ? Path.Combine(folder, word) : word;

    private static string LastLine(string said) => said.TrimEnd().Split('\n')[^1].Replace("error: ", "", StringComparison.Ordinal);

    private static bool Writes(string command) => command is "start" or "convert" or "align" or "mix";

    private static IEnumerable<string> Spots(Scene scene)
    {
        var channel = 5;
        foreach (var spot in scene.Spots)
        {
            var last = channel + DemoRecordings.ChannelCount(spot) - 1;
            yield return "--spot";
            yield return last == channel ? $"{spot.Id}={channel}" : $"{spot.Id}={channel}-{last}";
            channel = last + 1;
        }
    }
}
