using System.CommandLine;
using CaptureProc.Analysis.LineUp;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc level</c>: gain line-up from a recording of pink noise.</summary>
internal static class LevelCommand
{
    public const string Name = "level";

    private const double UsualToleranceDb = 0.1;
    private const string RoomSet = "room";

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file." };
        var files = new Argument<string[]>("REC.wav…")
        {
            Description = $"The noise as recorded: on all channels at once, or moved from one to the next. Several files count on; {TakeArguments.Between}",
            Arity = ArgumentArity.OneOrMore,
        };
        var array = Values.Text("--array", "The array that is lined up. Usually the main array.", "ID");
        var tolerance = Values.Number("--tolerance", "Largest difference that passes. Usually 0.1.", "DB", 0.001, 6);
        var reference = Values.Number("--reference", "Channel that the others are brought to. Usually the array's first.", "N", 1, 1024);
        var diffuse = new Option<bool>("--diffuse")
        {
            Description = $"Microphone in a room: line up on sound from all round (applause, room noise); the trims go to a set of their own, '{RoomSet}'.",
        };
        var set = Values.Text("--trim", $"The trim set to write. Usually '{LineUpTrims.UsualName}', or '{RoomSet}' with --diffuse.", "SET").FormerlyCalled("--set");
        var ignoreStamps = GlobalOptions.IgnoreStamps();
        var dryRun = new Option<bool>("--dry-run") { Description = "Only says what it finds; the session stays as it is." };
        var command = new Command(Name,
            "Compares the gains of an array's channels on pink noise and stores trims. The noise is loud: feed it by cable, with loudspeakers and headphones turned down.")
        {
            session, files, array, tolerance, reference, diffuse, set, dryRun, ignoreStamps,
        };
        command.SetAction(parsed =>
        {
            var order = new LevelOrder(parsed.GetRequiredValue(session), new TakeFiles(parsed.GetRequiredValue(files), parsed.GetValue(ignoreStamps)))
            {
                ArrayId = parsed.GetValue(array),
                ToleranceDb = parsed.GetValue(tolerance) ?? UsualToleranceDb,
                Reference = parsed.GetValue(reference),
                IsDiffuse = parsed.GetValue(diffuse),
                Set = parsed.GetValue(set) ?? (parsed.GetValue(diffuse) ? RoomSet : LineUpTrims.UsualName),
                IsDryRun = parsed.GetValue(dryRun),
            };
            return Run(desk, order);
        });
        return command;
    }

    private static int Run(Desk desk, LevelOrder order)
    {
        var document = order.IsDryRun ? SessionStore.Read(order.Session) : SessionStore.ReadToChange(order.Session);
        var array = document.FindArray(order.ArrayId);
        using var input = WavInput.Open(order.Files);
        input.RequireSession(document);
        desk.Tell(input);
        input.RequireChannels(array.Channels, $"array '{array.Id}'");
        var reference = order.ReferenceIndex(array);

        // What was read is noted in the session; that takes about as long as hearing it, so it goes beside.
        var fingerprint = order.IsDryRun ? null : Task.Run(() => InputFingerprint.Of(Name, order.Files, order.Files.IgnoreStamps));
        LineUpReport report;
        using (var progress = desk.Progress(Name))
            report = order.IsDiffuse
                ? DiffuseReport.Of(DiffuseStatistics.Of(input, array.Channels, progress), array, document.Air.SpeedOfSound, reference, order.ToleranceDb)
                : LineUpAnalysis.Report(LineUpListener.Of(input, array.Channels, progress), array.Channels, reference, order.ToleranceDb);

        var isStored = report.IsWorthKeeping && fingerprint is not null;
        if (isStored)
            Store(desk, order, array, report, fingerprint!.GetAwaiter().GetResult());
        LevelWords.Show(desk, array, report, isStored ? order.Set : null);
        return report.Verdict == ToleranceVerdict.Within && !report.HasProblems ? Desk.Done : Desk.NeedsAttention;
    }

    private static void Store(Desk desk, LevelOrder order, ArrayEntry array, LineUpReport report, HistoryEntry entry)
    {
        var set = LineUpTrims.Set(order.Set, order.IsDiffuse ? "diffuse field" : LineUpTrims.FromPinkNoise,
            report.TrimsToKeepDb, report.Channels.Select(report.UncertaintyDb), order.ToleranceDb);
        // A line-up is used at once where nothing else is; a set from a room has to be chosen.
        SessionStore.Update(order.Session, document => document.WithTrims(array.Id, set, isActive: !order.IsDiffuse, entry), desk.Waiting);
    }
}
