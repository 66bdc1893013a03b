using System.CommandLine;
using System.Text;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Report;
using CaptureProc.Report.Lists;
using CaptureProc.Report.Print;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc report</c>: the session on paper, one page of HTML that needs nothing else.</summary>
internal static class ReportCommand
{
    public const string Name = "report";

    private enum Form
    {
        Html,
        Pdf,
        Text,
        Csv,
        Markers,
    }

    private static readonly (string Word, string Extension, Form Form)[] Forms =
    [
        ("html", ".html", Form.Html), ("pdf", ".pdf", Form.Pdf), ("text", ".txt", Form.Text), ("csv", ".csv", Form.Csv), ("markers", ".mid", Form.Markers),
    ];

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>("SESSION") { Description = "The session file." };
        var output = new Argument<string>("OUT.html") { Description = "The page to write; or OUT.pdf, OUT.txt, OUT.csv, OUT.mid." };
        var form = Values.Choice<Form?>("--as", "The page as html or pdf (through Chromium, where it is installed); or only the delays, as text or csv; or the claps as markers (a Standard MIDI File). By the ending of OUT.", null,
            [.. Forms.Select(f => (f.Word, (Form?)f.Form))]);
        var recording = Values.Texts("--recording", "The slate recording, for the waveforms; more files count on. Usually the one that the session's history names.", "REC.wav");
        var array = Values.Text("--array", "The array whose delays and claps are shown. Usually the main array, the first of the session.", "ID");
        var replace = GlobalOptions.Replace();

        var command = new Command(Name, "Puts the session on paper: rig, line-up, patch, claps, plan, placement, response, and what is uncertain.") { session, output, form, recording, array, replace };
        command.SetAction(parsed => Run(desk, parsed.GetRequiredValue(session), parsed.GetRequiredValue(output), parsed.GetValue(form), parsed.GetValue(recording)!, parsed.GetValue(array), parsed.GetValue(replace)));
        return command;
    }

    private static int Run(Desk desk, string sessionPath, string outputPath, Form? asked, string[] recording, string? arrayId, bool replace)
    {
        var session = SessionStore.Read(sessionPath);
        var array = session.FindArray(arrayId);
        var form = asked ?? ByName(outputPath);
        if (form is not (Form.Html or Form.Pdf) && recording.Length > 0)
            throw new UnusableInputException("bad-arguments", $"--recording is for the waveforms of the page; leave it out, or write a page");
        using var file = PendingFile.Create(outputPath, replace);
        if (form is not (Form.Html or Form.Pdf))
        {
            Write(file, List(form, session, array));
            return Written(desk, form, outputPath, null);
        }
        var material = Gather(session, array, sessionPath, recording);
        if (material.WaveformNote is { } note && session.HeardBy(array).Clicks.Count > 0)
            desk.Warn($"no waveforms in the report: {note}");
        var page = SessionReport.Compose(session, material);
        Write(file, form == Form.Pdf ? PagePrinter.ToPdf(page, outputPath) : Encoding.UTF8.GetBytes(page));
        return Written(desk, form, outputPath, material);
    }

    private static Form ByName(string path) => Forms.FirstOrDefault(f => Path.GetExtension(path).Equals(f.Extension, StringComparison.OrdinalIgnoreCase)) is { Word: not null } known
        ? known.Form
        : throw new UnusableInputException("bad-arguments", $"{path}: its name does not say what to write; end it in {string.Join(", ", Forms.Select(f => f.Extension))}, or give --as");

    private static byte[] List(Form form, SessionDocument session, ArrayEntry array) => form switch
    {
        Form.Csv => Encoding.UTF8.GetBytes(DelayList.Csv(session, array)),
        Form.Markers => MarkerFile.Make(session, array),
        _ => Encoding.UTF8.GetBytes(DelayList.Text(session, array)),
    };

    private static void Write(PendingFile file, byte[] bytes)
    {
        file.Guard(stream => stream.Write(bytes));
        file.Complete();
    }

    private static int Written(Desk desk, Form form, string path, ReportMaterial? material)
    {
        desk.Show(new JsonObject
        {
            ["file"] = path, ["as"] = Array.Find(Forms, f => f.Form == form).Word, ["waveforms"] = material?.Waveforms.Count, ["note"] = material?.WaveformNote,
        });
        desk.Show($"written: {path}");
        return Desk.Done;
    }

    private static ReportMaterial Gather(SessionDocument session, ArrayEntry array, string sessionPath, string[] recording)
    {
        string? note = null;
        IReadOnlyList<string> files = recording.Length > 0 ? recording : SlateRecording.Find(session, array, sessionPath, out note);
        if (files.Count == 0)
            return new ReportMaterial { ArrayId = array.Id, WaveformNote = note };
        using var input = WavInput.Open(new TakeFiles(files, recording.Length == 0 && SlateRecording.IgnoresStamps(session, array)));
        return new ReportMaterial { ArrayId = array.Id, Waveforms = new ClickWaveformReader(session, array, input).ReadAll() };
    }
}
