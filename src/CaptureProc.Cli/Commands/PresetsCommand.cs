using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc presets</c>: the array geometries that come with the program.</summary>
internal static class PresetsCommand
{
    public const string Name = "presets";

    public static Command Create(Desk desk)
    {
        var command = new Command(Name, "Lists the array geometries that 'start --preset' knows.");
        command.SetAction(_ => Run(desk));
        return command;
    }

    private static int Run(Desk desk)
    {
        desk.Show(new JsonObject
        {
            ["presets"] = new JsonArray([.. PresetLibrary.List().Select(p => new JsonObject
            {
                ["name"] = p.Name,
                ["description"] = p.Description,
                ["radiusMm"] = p.RadiusMm,
                ["pattern"] = p.Pattern,
                ["order"] = new JsonArray([.. p.Capsules.Select(c => JsonValue.Create(c.Label))]),
            })]),
        });
        if (desk.IsJson)
            return Desk.Done;
        var table = new Table().Border(TableBorder.Simple).AddColumns("Preset", "What it is");
        foreach (var preset in PresetLibrary.List())
            table.AddRow(Markup.Escape(preset.Name), Markup.Escape(preset.Description));
        desk.Show(table);
        return Desk.Done;
    }
}
