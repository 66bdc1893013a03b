using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>Notes as the words of a command line give them; null where nothing is said, empty where a note is taken away.</summary>
internal sealed record NoteWords(string? Place, string? People, string? Preamps, string? Remark, string[] Microphones, string[] Takes)
{
    public bool IsEmpty => Place is null && People is null && Preamps is null && Remark is null && Microphones.Length == 0 && Takes.Length == 0;

    /// <summary>The session with these notes; what is not named stays.</summary>
    public SessionDocument Enter(SessionDocument session)
    {
        var notes = session.Notes ?? new NotesEntry();
        notes = notes with
        {
            Place = Said(Place, notes.Place),
            People = Said(People, notes.People),
            Preamps = Said(Preamps, notes.Preamps),
            Remark = Said(Remark, notes.Remark),
            Takes = WithTakes(notes.Takes),
        };
        var isBare = notes is { Place: null, People: null, Preamps: null, Remark: null, Takes.Count: 0, Unknown: null };
        return WithMicrophones(session) with { Notes = isBare ? null : notes };
    }

    private List<TakeNote> WithTakes(IReadOnlyList<TakeNote> noted)
    {
        var takes = noted.ToList();
        foreach (var word in Takes)
        {
            var (path, name) = Split(word, "--take", "FILE=NAME, as --take \"take_01.wav=Nine Lanterns\"");
            // Folders differ from machine to machine; the name of the file goes along with it.
            var file = Path.GetFileName(path);
            var at = takes.FindIndex(t => t.File == file);
            if (name.Length == 0)
                takes.RemoveAll(t => t.File == file);
            else if (at >= 0)
                takes[at] = takes[at] with { Name = name };
            else
                takes.Add(new TakeNote { File = file, Name = name });
        }
        return takes;
    }

    private SessionDocument WithMicrophones(SessionDocument session)
    {
        foreach (var word in Microphones)
        {
            var (id, text) = Split(word, "--microphone", "ID=TEXT, as --microphone \"harp=small cardioid\"");
            var isArray = session.Arrays.Any(a => IsId(a.Id, id)) && !session.Spots.Any(s => IsId(s.Id, id));
            var spot = isArray ? null : session.FindSpot(id);
            session = session with
            {
                Arrays = [.. session.Arrays.Select(a => isArray && IsId(a.Id, id) ? a with { Microphone = Said(text, null) } : a)],
                Spots = [.. session.Spots.Select(s => s.Id == spot?.Id ? s with { Microphone = Said(text, null) } : s)],
            };
        }
        return session;
    }

    private static string? Said(string? text, string? before) => text is null ? before : string.IsNullOrWhiteSpace(text) ? null : text.Trim();

    private static bool IsId(string a, string b) => string.Equals(a, b, StringComparison.OrdinalIgnoreCase);

    private static (string Of, string Text) Split(string word, string option, string form)
    {
        var at = word.IndexOf('=', StringComparison.Ordinal);
        return at > 0 ? (word[..at].Trim(), word[(at + 1)..].Trim()) : throw new UnusableInputException("bad-arguments", $"{option} {word}: write {form}");
    }
}
