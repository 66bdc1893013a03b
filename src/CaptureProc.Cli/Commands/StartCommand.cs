using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Session.Rig;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc start</c>: writes a new session file from what stands on the stage plot.</summary>
internal static class StartCommand
{
    public const string Name = "start";

    public static Command Create(Desk desk)
    {
        var path = new Argument<string>("SESSION.json") { Description = "The session file to write." };
        var arrays = Values.Texts("--array", "An array and its four channels; the main array first.", "ID=CHANNELS");
        var spots = Values.Texts("--spot", "A spot and its channels; one with four channels is a capsule array of its own.", "ID=CHANNELS");
        var presets = Values.Texts("--preset", $"Geometry from the presets, for all arrays or for one. Usually {PresetLibrary.DefaultName}; see 'captureproc presets'.", "[ID=]NAME");
        var orders = Values.Texts("--order", "Capsule on each channel, as FLU,FRD,BLD,BRU.", "[ID=]ORDER");
        var radii = Values.Texts("--radius-mm", "Distance of the capsules from the centre.", "[ID=]MM");
        var patterns = Values.Texts("--pattern", "Pattern of the capsules: 0 figure-eight, 0.5 cardioid, 1 omni.", "[ID=]PATTERN");
        var mounts = Values.Texts("--mount", "How the array is turned, in degrees: 0,0,180 hangs head down.", "[ID=]YAW,PITCH,ROLL");
        var rate = Values.Number("--rate", "Sample rate. Usually that of --recording, else 48000.", "HZ", SessionRules.MinSampleRate, SessionRules.MaxSampleRate);
        var temperature = Values.Number("--temperature", "Of the air in the hall. Usually 20.", "CELSIUS", -40, 60);
        var title = Values.Text("--title", "What the session is called.", "TITLE");
        var from = Values.Texts("--recording", "Recording whose own metadata give rate and track names; more files count on.", "FILE.wav").FormerlyCalled("--from");
        var ignoreStamps = GlobalOptions.IgnoreStamps();
        var replace = GlobalOptions.Replace();

        var command = new Command(Name, "Writes a new session file.") { path, arrays, spots, presets, orders, radii, patterns, mounts, rate, temperature, title, from, ignoreStamps, replace };
        command.SetAction(parsed => Run(desk, parsed.GetRequiredValue(path), parsed.GetValue(replace), new SessionPlan
        {
            Arrays = parsed.GetValue(arrays)!,
            Spots = parsed.GetValue(spots)!,
            Presets = parsed.GetValue(presets)!,
            Orders = parsed.GetValue(orders)!,
            RadiiMm = parsed.GetValue(radii)!,
            Patterns = parsed.GetValue(patterns)!,
            Mounts = parsed.GetValue(mounts)!,
            SampleRateHz = parsed.GetValue(rate),
            TemperatureC = parsed.GetValue(temperature) ?? 20,
            Title = parsed.GetValue(title),
            Recordings = parsed.GetValue(from)!,
            IgnoreStamps = parsed.GetValue(ignoreStamps),
        }));
        return command;
    }

    private static int Run(Desk desk, string path, bool replace, SessionPlan plan)
    {
        var session = plan.Build(desk);
        if (replace)
            NameWhatGoes(desk, path);
        SessionStore.Create(path, session, replace, desk.Waiting);
        if (desk.IsJson)
        {
            desk.Show(new JsonObject { ["file"] = path, ["session"] = JsonNode.Parse(SessionText.Format(session)) });
            return Desk.Done;
        }
        desk.Show(RigTable.Of(session));
        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{path}: {session.SampleRate} Hz, {session.Air.TemperatureC} °C, speed of sound {session.Air.SpeedOfSound:0.0} m/s"));
        return Desk.Done;
    }

    // Nobody loses an evening's measurements without a word, and nobody for good.
    private static void NameWhatGoes(Desk desk, string path)
    {
        if (FileIdentity.Of(path) is null)
            return;
        IReadOnlyList<string> measured;
        try
        {
            measured = RigChange.Measured(SessionStore.ReadToChange(path));
        }
        catch (UnusableInputException e) when (e.Code is "session-damaged" or "session-invalid" or "session-newer" or "not-a-session")
        {
            // What cannot be read holds nothing that could be named.
            measured = [];
        }
        if (measured.Count > 0)
            desk.Warn($"{path}: is replaced, and with it go {string.Join(", ", measured)}; 'captureproc rig {path} --undo' brings the former session back, and 'captureproc rig' changes one without starting anew");
    }
}
