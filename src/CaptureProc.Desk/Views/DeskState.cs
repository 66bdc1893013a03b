using System.Text.Json;
using CaptureProc.DeskServer.Door;
using CaptureProc.DeskServer.Jobs;
using CaptureProc.Session;

namespace CaptureProc.DeskServer.Views;

/// <summary>All that a page needs to draw itself: asked for when it opens, and again when the feed says that something changed.</summary>
internal sealed record DeskState
{
    /// <summary>Name of the folder, for the title.</summary>
    public required string Folder { get; init; }

    /// <summary>The session's file as it is called in commands; null while none is open.</summary>
    public string? SessionFile { get; init; }

    /// <summary>The session as its file has it.</summary>
    public JsonElement? Session { get; init; }

    /// <summary>Why the session cannot be read; null where it can.</summary>
    public string? Problem { get; init; }

    /// <summary>Session files in the folder.</summary>
    public IReadOnlyList<string> Sessions { get; init; } = [];

    public IReadOnlyList<RecordingView> Recordings { get; init; } = [];

    /// <summary>Pages that reports have written.</summary>
    public IReadOnlyList<string> Reports { get; init; } = [];

    public IReadOnlyList<PresetView> Presets { get; init; } = [];

    public IReadOnlyList<JobState> Jobs { get; init; } = [];

    public static DeskState Of(Desktop desktop)
    {
        var (session, problem) = ReadSession(desktop.SessionPath);
        var folder = desktop.Folder;
        return new DeskState
        {
            Folder = Path.GetFileName(folder.Root),
            SessionFile = desktop.SessionPath is { } path ? SessionName(folder, path) : null,
            Session = session,
            Problem = problem,
            Sessions = [.. folder.Sessions().Select(folder.NameOf)],
            Recordings = [.. RecordingView.In(folder)],
            Reports = [.. folder.Files(".html").Select(folder.NameOf)],
            Presets = [.. PresetLibrary.List().Select(PresetView.Of)],
            Jobs = desktop.Jobs.States,
        };
    }

    private static string SessionName(DeskFolder folder, string path)
    {
        var name = folder.NameOf(path);
        return name.StartsWith("..", StringComparison.Ordinal) ? path : name;
    }

    private static (JsonElement? Session, string? Problem) ReadSession(string? path)
    {
        if (path is null)
            return (null, null);
        try
        {
            using var document = JsonDocument.Parse(SessionText.Format(SessionStore.Read(path)));
            return (document.RootElement.Clone(), null);
        }
        catch (UnusableInputException e)
        {
            return (null, e.Message);
        }
    }
}

/// <summary>A geometry to choose from.</summary>
internal sealed record PresetView(string Name, string Description, double RadiusMm, double Pattern, IReadOnlyList<string> Capsules, double RollDeg)
{
    public static PresetView Of(Preset preset) => new(
        preset.Name, preset.Description, preset.RadiusMm, preset.Pattern, [.. preset.Capsules.Select(c => c.Label)], preset.Mount.RollDeg);
}
