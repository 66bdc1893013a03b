using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Rendering.Alignment;
using CaptureProc.Session;
using CaptureProc.Wav;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc align</c>: one aligned file a spot, sample-locked to the converted array.</summary>
internal static class AlignCommand
{
    public const string Name = "align";

    public static Command Create(Desk desk)
    {
        var arguments = new TakeArguments("OUTDIR", "the folder for the aligned files.");
        var place = new Option<bool>("--place") { Description = "Also write each spot as a field, at its measured direction." };
        var options = new AlignmentOptions();
        var command = new Command(Name, "Writes one aligned file a spot (delay and polarity applied) and the converted array, all sample-locked.");
        arguments.AddTo(command);
        command.Options.Add(place);
        options.AddTo(command);
        command.SetAction(parsed => Run(desk, arguments.Read(parsed), options.Read(parsed) with { Place = parsed.GetValue(place) }));
        return command;
    }

    private static int Run(Desk desk, (string Session, TakeFiles Take, string Output) files, AlignmentSettings settings)
    {
        var session = SessionStore.Read(files.Session);
        AlignmentResult result;
        using (var progress = desk.Progress(Name))
            result = TakeAligner.Align(session, files.Take, files.Output, settings, progress);

        ShowTable(desk, result);
        if (AlignmentWords.HeldBack(result.Plan) is { } heldBack)
            desk.Show(heldBack);
        var exitCode = desk.Tell(result.Warnings, result.Findings);
        desk.Show(new JsonObject
        {
            ["folder"] = files.Output,
            ["array"] = new JsonObject { ["id"] = result.ArrayId, ["file"] = result.ArrayFile },
            ["sampleRate"] = session.SampleRate,
            ["frames"] = result.Frames,
            ["heldBackSamples"] = result.Plan.HeldBackFrames,
            ["heldBackMs"] = Math.Round(result.Plan.HeldBackMs, 4),
            ["spots"] = new JsonArray([.. result.Spots.Select(s =>
            {
                var spot = AlignmentWords.ToJson(s.Spot);
                spot["file"] = s.File;
                spot["placedFile"] = s.PlacedFile;
                return spot;
            })]),
            ["warnings"] = desk.WarningsAsJson(),
        });
        return exitCode;
    }

    private static void ShowTable(Desk desk, AlignmentResult result)
    {
        if (desk.IsJson)
            return;
        var table = new Table().Border(TableBorder.Simple).AddColumns("", "Delay, samples", "ms", "Polarity", "File");
        table.AddRow($"array {Markup.Escape(result.ArrayId)}", $"{result.Plan.HeldBackFrames}", AlignmentWords.Ms(result.Plan.HeldBackMs), "", Markup.Escape(result.ArrayFile));
        foreach (var (spot, file, placedFile) in result.Spots)
        {
            table.AddRow(
                $"spot {Markup.Escape(spot.Spot.Id)}",
                spot.IsAligned ? spot.AppliedDelaySamples.ToString("0.000", CultureInfo.InvariantCulture) : "not aligned",
                spot.IsAligned ? AlignmentWords.Ms(1000 * spot.AppliedDelaySamples / result.Plan.SampleRateHz) : "",
                spot.Polarity < 0 ? "inverted" : "",
                Markup.Escape(placedFile is null ? file : $"{file}, {placedFile}"));
        }
        desk.Show(table);
    }
}
