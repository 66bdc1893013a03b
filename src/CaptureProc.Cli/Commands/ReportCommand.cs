using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Report;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc report</c>: the session on paper, one page of HTML that needs nothing else.</summary>
internal static class ReportCommand
{
    public const string Name = "report";

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file." };
        var output = new Argument<string>("OUT.html") { Description = "The page to write." };
        var recording = Values.Texts("--recording", "The slate recording, for the waveforms; more files count on. Usually the one that the session's history names.", "REC.wav");
        var array = Values.Text("--array", "The array whose delays and clicks are shown. Usually the main array, the first of the session.", "ID");
        var replace = GlobalOptions.Replace();

        var command = new Command(Name, "Puts the session on paper: rig, line-up, patch, clicks, plan, placement, response, and what is uncertain.") { session, output, recording, array, replace };
        command.SetAction(parsed => Run(desk, parsed.GetRequiredValue(session), parsed.GetRequiredValue(output), parsed.GetValue(recording)!, parsed.GetValue(array), parsed.GetValue(replace)));
        return command;
    }

    private static int Run(Desk desk, string sessionPath, string outputPath, string[] recording, string? arrayId, bool replace)
    {
        var session = SessionStore.Read(sessionPath);
        var array = session.FindArray(arrayId);
        using var file = PendingFile.Create(outputPath, replace);
        var material = Gather(session, array, sessionPath, recording);
        if (material.WaveformNote is { } note && session.HeardBy(array).Clicks.Count > 0)
            desk.Warn($"no waveforms in the report: {note}");
        file.Guard(stream => stream.Write(Encoding.UTF8.GetBytes(SessionReport.Compose(session, material))));
        file.Complete();
        desk.Show(new JsonObject { ["file"] = outputPath, ["waveforms"] = material.Waveforms.Count, ["note"] = material.WaveformNote });
        desk.Show($"written: {outputPath}");
        return Desk.Done;
    }

    private static ReportMaterial Gather(SessionDocument session, ArrayEntry array, string sessionPath, string[] recording)
    {
        string? note = null;
        IReadOnlyList<string> files = recording.Length > 0 ? recording : SlateRecording.Find(session, array, sessionPath, out note);
        if (files.Count == 0)
            return new ReportMaterial { ArrayId = array.Id, WaveformNote = note };
        using var input = WavInput.Open(files);
        return new ReportMaterial { ArrayId = array.Id, Waveforms = new ClickWaveformReader(session, array, input).ReadAll() };
    }
}
