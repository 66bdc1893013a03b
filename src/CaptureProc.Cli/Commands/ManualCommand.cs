using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc manual</c>: the manual pages and the completion for bash, for whoever installs the program.</summary>
internal static class ManualCommand
{
    public const string Name = "manual";

    public static Command Create(Desk desk)
    {
        var folder = new Argument<string>("DIR") { Description = "Folder for the files; it is made where it is not there." };
        var replace = GlobalOptions.Replace();
        var command = new Command(Name, "Writes the manual pages and the completion for bash into a folder.") { folder, replace };
        command.SetAction(parsed => Run(desk, parsed.GetRequiredValue(folder), parsed.GetValue(replace)));
        return command;
    }

    private static int Run(Desk desk, string folder, bool replace)
    {
        var root = CommandLineProgram.BuildRoot([], desk);
        var files = new List<(string Name, string Text)> { ("captureproc.1", ManualPage.OfProgram(root)), ("captureproc.bash", ShellCompletion.ForBash(root)) };
        files.AddRange(root.Subcommands.Select(c => ($"captureproc-{c.Name}.1", ManualPage.OfCommand(c, root))));
        try
        {
            Directory.CreateDirectory(folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new UnusableInputException("folder-unusable", $"{folder}: no folder can be made there ({e.Message.TrimEnd('.')}); give another one", e);
        }
        foreach (var (name, text) in files)
        {
            using var file = PendingFile.Create(Path.Combine(folder, name), replace);
            file.Guard(stream => stream.Write(Encoding.UTF8.GetBytes(text.ReplaceLineEndings("\n"))));
            file.Complete();
        }
        desk.Show(new JsonObject { ["folder"] = folder, ["files"] = new JsonArray([.. files.Select(f => (JsonNode)f.Name)]) });
        desk.Show($"written: {files.Count} files in {folder}");
        return Desk.Done;
    }
}
