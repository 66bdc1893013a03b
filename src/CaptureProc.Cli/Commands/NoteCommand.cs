using System.CommandLine;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary><c>captureproc note</c>: what people write down beside the measured; it goes along in the session and stands on the report.</summary>
internal static class NoteCommand
{
    public const string Name = "note";

    public static Command Create(Desk desk)
    {
        var session = new Argument<string>(SessionHere.ArgumentName) { Description = "The session file." };
        var place = Values.Text("--place", "Where it is recorded.", "TEXT");
        var people = Values.Text("--people", "Who plays, who records.", "TEXT");
        var preamps = Values.Text("--preamps", "Preamplifiers and their gains.", "TEXT");
        var remark = Values.Text("--remark", "Anything else.", "TEXT");
        var microphones = Values.Texts("--microphone", "Which microphone an array or a spot is.", "ID=TEXT");
        var takes = Values.Texts("--take", "What is on a take.", "FILE=NAME");
        var command = new Command(Name, "Notes place, people, preamplifiers, microphones and names of takes; an empty text takes a note away. Without options it shows them.")
        {
            session, place, people, preamps, remark, microphones, takes,
        };
        command.SetAction(parsed =>
        {
            var words = new NoteWords(parsed.GetValue(place), parsed.GetValue(people), parsed.GetValue(preamps), parsed.GetValue(remark), parsed.GetValue(microphones)!, parsed.GetValue(takes)!);
            var path = parsed.GetRequiredValue(session);
            return Show(desk, words.IsEmpty ? SessionStore.Read(path) : SessionStore.Update(path, words.Enter, desk.Waiting));
        });
        return command;
    }

    private static int Show(Desk desk, SessionDocument session)
    {
        var rows = Rows(session).ToList();
        desk.Show(new JsonObject { ["notes"] = new JsonArray([.. rows.Select(r => new JsonObject { ["of"] = r.Of, ["text"] = r.Text })]) });
        if (rows.Count == 0)
            desk.Show("There are no notes yet; see 'captureproc note --help'.");
        else
        {
            var table = new Table().Border(TableBorder.Simple).AddColumns("Note", "");
            foreach (var (of, text) in rows)
                table.AddRow(Markup.Escape(of), Markup.Escape(text));
            desk.Show(table);
        }
        return Desk.Done;
    }

    private static IEnumerable<(string Of, string Text)> Rows(SessionDocument session)
    {
        var notes = session.Notes ?? new NotesEntry();
        (string Of, string? Text)[] all =
        [
            ("place", notes.Place), ("people", notes.People), ("preamps", notes.Preamps), ("remark", notes.Remark),
            .. session.Arrays.Select(a => ($"array {a.Id}", a.Microphone)), .. session.Spots.Select(s => ($"spot {s.Id}", s.Microphone)),
            .. notes.Takes.Select(t => ($"take {t.File}", (string?)t.Name)),
        ];
        return all.Where(n => n.Text is not null).Select(n => (n.Of, n.Text!));
    }
}
