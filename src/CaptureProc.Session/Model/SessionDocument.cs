using System.Text.Json;
using System.Text.Json.Serialization;

namespace CaptureProc.Session;

/// <summary>One recording session: what stood where, and what has been measured since. The root of the session file.</summary>
/// <remarks>
/// Plain, immutable data: change it with <c>with</c>. Members that this version does not know are kept in <see cref="Unknown"/>
/// at every level, so a file that passes through an older program loses nothing. Units are in the names; channels count from 1.
/// </remarks>
public sealed record SessionDocument
{
    public const string FormatName = "captureproc-session";
    public const int CurrentVersion = 1;

    public string Format { get; init; } = FormatName;

    public int Version { get; init; } = CurrentVersion;

    public string? Title { get; init; }

    public DateTimeOffset Created { get; init; }

    public DateTimeOffset Modified { get; init; }

    /// <summary>Frames a second of every recording of this session.</summary>
    public int SampleRate { get; init; }

    public AirEntry Air { get; init; } = new();

    /// <summary>The main array first; a spot with four channels has an entry of its own here.</summary>
    public IReadOnlyList<ArrayEntry> Arrays { get; init; } = [];

    public IReadOnlyList<SpotEntry> Spots { get; init; } = [];

    public IReadOnlyList<ClickEntry> Clicks { get; init; } = [];

    /// <summary>Where everybody sits, from the claps; null where no slate has told it.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public StageEntry? Stage { get; init; }

    /// <summary>What the slate told about the room; null where it told nothing.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public RoomEntry? Room { get; init; }

    /// <summary>What people wrote down; null where they wrote nothing.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public NotesEntry? Notes { get; init; }

    public IReadOnlyList<HistoryEntry> History { get; init; } = [];

    [JsonExtensionData]
    public Dictionary<string, JsonElement>? Unknown { get; set; }
}
