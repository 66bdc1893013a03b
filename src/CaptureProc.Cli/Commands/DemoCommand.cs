using System.CommandLine;
using CaptureProc.Cli.Demo;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using CaptureProc.Simulation.Scenarios;

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
        var replace = GlobalOptions.Replace();
        var command = new Command(Name, "Simulates a session, runs the whole job on it, and prints measured beside true values.") { folder, seed, replace };
        command.SetAction(parsed => Run(desk, parsed.GetValue(folder), (ulong)(parsed.GetValue(seed) ?? UsualSeed), parsed.GetValue(replace)));
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
        // Refused before anything is simulated: an earlier demo in this folder is kept whole.
        foreach (var name in (string[])[DemoRecordings.LineUp, DemoRecordings.Slate, DemoRecordings.Take, DemoJob.SessionFile])
            if (!replace && File.Exists(Path.Combine(folder, name)))
                throw new UnusableInputException("output-exists", $"{Path.Combine(folder, name)}: exists already; give --replace to write over it, or another folder");

        desk.Say($"{TideMill.Title}: simulating line-up, slate and take");
        var scene = TideMill.Scene(seed);
        var truth = DemoRecordings.Write(folder, scene, replace);
        new DemoJob(desk, folder, replace).Run(scene);

        var verdict = DemoVerdict.Of(SessionStore.Read(Path.Combine(folder, DemoJob.SessionFile)), scene, truth);
        if (desk.IsJson)
            desk.Show(DemoReport.Json(verdict, keptFolder));
        else
            DemoReport.Show(desk, verdict);
        desk.Say(keptFolder is null ? "Nothing was kept; 'captureproc demo DIR' leaves the files in DIR." : $"The files are in {keptFolder}.");
        return verdict.IsWithin ? Desk.Done : Desk.NeedsAttention;
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
