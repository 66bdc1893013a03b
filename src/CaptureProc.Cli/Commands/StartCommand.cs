using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using Spectre.Console;

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
        SessionStore.Create(path, session, replace, desk.Waiting);
        if (desk.IsJson)
        {
            desk.Show(new JsonObject { ["file"] = path, ["session"] = JsonNode.Parse(SessionText.Format(session)) });
            return Desk.Done;
        }
        var table = new Table().Border(TableBorder.Simple).AddColumns("", "Channels", "");
        foreach (var array in session.Arrays)
            table.AddRow($"array {Markup.Escape(array.Id)}", string.Join(' ', array.Channels), string.Create(CultureInfo.InvariantCulture,
                $"{string.Join(' ', array.Capsules.Select(c => c.Label))}, radius {array.RadiusMm} mm, pattern {array.Pattern}, yaw {array.Mount.YawDeg} pitch {array.Mount.PitchDeg} roll {array.Mount.RollDeg}"));
        foreach (var spot in session.Spots)
            table.AddRow($"spot {Markup.Escape(spot.Id)}", string.Join(' ', spot.Channels), spot.ArrayId is { } id ? $"capsule array {Markup.Escape(id)}" : "");
        desk.Show(table);
        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{path}: {session.SampleRate} Hz, {session.Air.TemperatureC} °C, speed of sound {session.Air.SpeedOfSound:0.0} m/s"));
        return Desk.Done;
    }
}
