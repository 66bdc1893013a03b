using System.CommandLine;
using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc convert</c>: A-format to B-format.</summary>
internal static class ConvertCommand
{
    public const string Name = "convert";

    public static Command Create(Desk desk)
    {
        var arguments = new TakeArguments("OUT.wav", "the B-format file to write.");
        var options = new FieldOptions();
        var command = new Command(Name, "Converts the array's A-format to B-format, with the session's trims and correction.");
        arguments.AddTo(command);
        options.AddTo(command);
        command.SetAction(parsed => Run(desk, arguments.Read(parsed), options.Read(parsed)));
        return command;
    }

    private static int Run(Desk desk, (string Session, TakeFiles Take, string Output) files, FieldSettings settings)
    {
        var session = SessionStore.Read(files.Session);
        ConversionResult result;
        using (var progress = desk.Progress(Name))
            result = TakeConverter.Convert(session, files.Take, files.Output, settings, progress);

        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"{files.Output}: array '{result.ArrayId}', {(double)result.Frames / result.SampleRateHz:0.000} s at {result.SampleRateHz} Hz, {FieldOptions.Word(settings.Conversion.Format)}, correction {FieldOptions.Word(settings.Conversion.Correction)}, trim {result.Trim ?? "none"}"));
        var exitCode = desk.Tell(result.Warnings, result.Findings);
        desk.Show(new JsonObject
        {
            ["output"] = files.Output,
            ["array"] = result.ArrayId,
            ["format"] = FieldOptions.Word(settings.Conversion.Format),
            ["correction"] = FieldOptions.Word(settings.Conversion.Correction),
            ["trim"] = result.Trim,
            ["bits"] = FieldOptions.Word(settings.SampleFormat),
            ["sampleRate"] = result.SampleRateHz,
            ["frames"] = result.Frames,
            ["warnings"] = desk.WarningsAsJson(),
        });
        return exitCode;
    }
}
