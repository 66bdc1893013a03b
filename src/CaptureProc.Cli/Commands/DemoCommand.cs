using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Demo;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Simulation.Scenarios;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc demo</c>: simulates a session whose truth is known, does the whole job on it, and compares.</summary>
internal static class DemoCommand
{
    public const string Name = "demo";

    private const int UsualSeed = 4;

    public static Command Create(Desk desk)
    {
        var folder = new Argument<string?>("DIR") { Description = "Folder for the demo's files, to play with afterwards. Without it nothing is kept.", Arity = ArgumentArity.ZeroOrOne };
        var seed = Values.Number("--seed", $"Draws claps, talk, noise and reverberation. Usually {UsualSeed}.", "N", 0, 1e9);
        var onlyRecordings = new Option<bool>("--only-recordings") { Description = "Leaves the recordings in DIR, and the job to you." };
        var replace = GlobalOptions.Replace();
        var command = new Command(Name, "Simulates a session, runs the whole job on it, and prints measured beside true values.") { folder, seed, onlyRecordings, replace };
        command.SetAction(parsed =>
        {
            var seedOfChance = (ulong)(parsed.GetValue(seed) ?? UsualSeed);
            return parsed.GetValue(onlyRecordings)
                ? Record(desk, parsed.GetValue(folder), seedOfChance, parsed.GetValue(replace))
                : Run(desk, parsed.GetValue(folder), seedOfChance, parsed.GetValue(replace));
        });
        return command;
    }

    private static int Run(Desk desk, string? keptFolder, ulong seed, bool replace)
    {
        if (keptFolder is not null)
            return RunIn(desk, MakeFolder(keptFolder), keptFolder, seed, replace);
        var passing = Directory.CreateTempSubdirectory("captureproc-demo-");
        try
        {
            return RunIn(desk, passing.FullName, null, seed, replace);
        }
        finally
        {
            passing.Delete(recursive: true);
        }
    }

    private static int RunIn(Desk desk, string folder, string? keptFolder, ulong seed, bool replace)
    {
        RefuseToWriteOver(folder, [.. DemoRecordings.Names, DemoJob.SessionFile], replace);
        var (scene, truth) = Simulate(desk, folder, seed, replace);
        new DemoJob(desk, folder, replace).Run();

        var verdict = DemoVerdict.Of(SessionStore.Read(Path.Combine(folder, DemoJob.SessionFile)), scene, truth);
        if (desk.IsJson)
            desk.Show(DemoReport.Json(verdict, keptFolder));
        else
            DemoReport.Show(desk, verdict);
        desk.Say(keptFolder is null ? "Nothing was kept; 'captureproc demo DIR' leaves the files in DIR." : $"The files are in {keptFolder}.");
        return verdict.IsWithin ? Desk.Done : Desk.NeedsAttention;
    }

    private static int Record(Desk desk, string? keptFolder, ulong seed, bool replace)
    {
        if (keptFolder is null)
            throw new UnusableInputException("bad-arguments", "--only-recordings needs a folder to leave them in; write captureproc demo DIR --only-recordings");
        var folder = MakeFolder(keptFolder);
        RefuseToWriteOver(folder, DemoRecordings.Names, replace);
        Simulate(desk, folder, seed, replace);
        desk.Show(new JsonObject { ["folder"] = keptFolder, ["files"] = new JsonArray([.. DemoRecordings.Names.Select(n => (JsonNode)n)]) });
        desk.Show($"{keptFolder}: {string.Join(", ", DemoRecordings.Names)}");
        return Desk.Done;
    }

    private static (Scene Scene, SceneTruth Truth) Simulate(Desk desk, string folder, ulong seed, bool replace)
    {
        desk.Say($"{TideMill.Title}: simulating line-up, taps, slate, rehearsal and take");
        var scene = TideMill.Scene(seed);
        return (scene, DemoRecordings.Write(folder, scene, replace));
    }

    // Before anything is simulated: an earlier demo in this folder is kept whole.
    private static void RefuseToWriteOver(string folder, string[] names, bool replace)
    {
        foreach (var name in names)
            if (!replace && File.Exists(Path.Combine(folder, name)))
                throw new UnusableInputException("output-exists", $"{Path.Combine(folder, name)}: exists already; give --replace to write over it, or another folder");
    }

    private static string MakeFolder(string path)
    {
        try
        {
            return Directory.CreateDirectory(path).FullName;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new UnusableInputException("folder-unusable", $"{path}: no folder can be made there ({e.Message.TrimEnd('.')}); give another one", e);
        }
    }
}
