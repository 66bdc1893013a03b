using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Cli.Commands;

/// <summary>A session as the words of a command line describe it.</summary>
internal sealed record SessionPlan
{
    private const int UsualSampleRateHz = 48000;

    public string[] Arrays { get; init; } = [];
    public string[] Spots { get; init; } = [];
    public string[] Presets { get; init; } = [];
    public string[] Orders { get; init; } = [];
    public string[] RadiiMm { get; init; } = [];
    public string[] Patterns { get; init; } = [];
    public string[] Mounts { get; init; } = [];
    public double? SampleRateHz { get; init; }
    public double TemperatureC { get; init; } = 20;
    public string? Title { get; init; }
    public string[] Recordings { get; init; } = [];
    public bool IgnoreStamps { get; init; }

    public SessionDocument Build(Desk desk)
    {
        var (rate, tracks) = ReadRecordings(desk);
        var arrays = Arrays.Select(word => Split(word, "--array", "ID=CHANNELS, as --array main=1-4")).Select(a => (a.Id, Channels: ChannelList.Parse(a.Value, "--array", tracks))).ToList();
        var spots = Spots.Select(word => Split(word, "--spot", "ID=CHANNELS, as --spot harp=5")).Select(s => (s.Id, Channels: ChannelList.Parse(s.Value, "--spot", tracks))).ToList();
        if (arrays.Count == 0 && TrackNames.FindArray(tracks) is { } found)
        {
            arrays.Add(("main", [.. found.Channels]));
            desk.Say($"array main is taken from the track names: channels {string.Join(' ', found.Channels)}");
        }
        if (arrays.Count == 0)
            throw new UnusableInputException("no-array", "no array is given; add --array main=1-4 (its four channels)");
        if (spots.Count == 0)
            spots = TrackNames.FindSpots(tracks, [.. arrays.SelectMany(a => a.Channels)]);
        RequireRecorded(arrays, spots, tracks.Count);

        var entries = arrays.Select(a => BuildArray(a.Id, a.Channels, tracks, desk)).ToList();
        var spotEntries = spots.Select(s => BuildSpot(s.Id, s.Channels, entries, tracks, desk)).ToList();
        RefuseUnknownIds(entries);
        var now = DateTimeOffset.UtcNow;
        return new SessionDocument
        {
            Title = Title,
            Created = now,
            Modified = now,
            SampleRate = rate,
            Air = new AirEntry { TemperatureC = TemperatureC, SpeedOfSound = Math.Round(Air.SpeedOfSoundMps(TemperatureC), 3) },
            Arrays = entries,
            Spots = spotEntries,
            History = [new HistoryEntry { At = now, Command = StartCommand.Name }],
        };
    }

    private (int RateHz, IReadOnlyList<string?> Tracks) ReadRecordings(Desk desk)
    {
        if (Recordings.Length == 0)
            return (WholeRate(SampleRateHz ?? UsualSampleRateHz), []);
        using var input = WavInput.Open(new TakeFiles(Recordings, IgnoreStamps));
        desk.Tell(input);
        if (SampleRateHz is { } asked && asked != input.SampleRateHz)
            throw new UnusableInputException("rate-differs",
                FormattableString.Invariant($"--rate is {asked} Hz, but {Recordings[0]} has {input.SampleRateHz} Hz; leave --rate out or give another recording"));
        return (input.SampleRateHz, input.ChannelNames);
    }

    private static int WholeRate(double rateHz) => rateHz == Math.Floor(rateHz)
        ? (int)rateHz
        : throw new UnusableInputException("bad-arguments", FormattableString.Invariant($"--rate is {rateHz}; it has to be a whole number of Hz"));

    /// <summary>One array as the words describe it.</summary>
    internal ArrayEntry BuildArray(string id, IReadOnlyList<int> channels, IReadOnlyList<string?> tracks, Desk desk)
    {
        RequireFour(id, channels);
        var preset = PresetLibrary.Find(Chosen(Presets, id) ?? PresetLibrary.DefaultName);
        var capsules = preset.Capsules;
        if (Chosen(Orders, id) is { } order)
            capsules = CapsuleLabel.Reorder(order.Split(',', StringSplitOptions.TrimEntries), capsules);
        else if (Chosen(Presets, id) is null && TrackNames.CapsulesOf(channels, tracks) is { } labels)
        {
            capsules = CapsuleLabel.Reorder(labels, capsules);
            desk.Say($"capsules of array '{id}' are taken from the track names: {string.Join(' ', labels)}");
        }
        var mount = Chosen(Mounts, id) is { } turned ? ParseMount(turned) : preset.Mount;
        var entry = new ArrayEntry
        {
            Id = id,
            Channels = channels,
            Capsules = capsules,
            RadiusMm = Chosen(RadiiMm, id) is { } radius ? Number(radius, "--radius-mm", 0.1, 200) : preset.RadiusMm,
            Pattern = Chosen(Patterns, id) is { } pattern ? Number(pattern, "--pattern", 0, 1) : preset.Pattern,
            Mount = mount,
        };
        if (ArrayResolution.FindProblem(entry.ToCapsuleArray()) is { } problem)
            throw new UnusableInputException("array-unresolvable", $"array '{id}': {problem.TrimEnd('.')}");
        return entry;
    }

    private SpotEntry BuildSpot(string id, IReadOnlyList<int> channels, List<ArrayEntry> arrays, IReadOnlyList<string?> tracks, Desk desk)
    {
        var own = channels.Count == SessionRules.CapsulesPerArray ? arrays.Find(a => a.Channels.SequenceEqual(channels)) : null;
        foreach (var array in arrays)
            if (array != own && array.Channels.Intersect(channels).Any())
                throw new UnusableInputException("bad-channels",
                    $"spot '{id}' and array '{array.Id}' share channel {array.Channels.Intersect(channels).First()}; give each its own");
        if (channels.Count == SessionRules.CapsulesPerArray && own is null)
        {
            own = BuildArray(id, channels, tracks, desk);
            arrays.Add(own);
        }
        return new SpotEntry { Id = id, Channels = channels, ArrayId = own?.Id };
    }

    private static void RequireRecorded(IEnumerable<(string Id, IReadOnlyList<int> Channels)> arrays, IEnumerable<(string Id, IReadOnlyList<int> Channels)> spots, int recorded)
    {
        if (recorded == 0)
            return;
        foreach (var (id, channels) in arrays.Concat(spots))
            if (channels.Max() > recorded)
                throw new UnusableInputException("channel-missing", $"'{id}' is on channel {channels.Max()}, but the recording has {recorded} channels");
    }

    // "main=tetra-25mm-cardioid" is for one array, the same without an id for all; the more particular one wins.
    private static string? Chosen(string[] words, string id)
    {
        var own = Array.FindLast(words, w => w.Split('=')[0].Equals(id, StringComparison.OrdinalIgnoreCase) && w.Contains('=', StringComparison.Ordinal));
        return own is not null ? own[(own.IndexOf('=', StringComparison.Ordinal) + 1)..] : Array.FindLast(words, w => !w.Contains('=', StringComparison.Ordinal));
    }

    private void RefuseUnknownIds(List<ArrayEntry> arrays)
    {
        foreach (var (option, words) in new[] { ("--preset", Presets), ("--order", Orders), ("--radius-mm", RadiiMm), ("--pattern", Patterns), ("--mount", Mounts) })
            foreach (var word in words)
                if (word.Split('=') is [var id, _, ..] && !arrays.Exists(a => a.Id.Equals(id, StringComparison.OrdinalIgnoreCase)))
                    throw new UnusableInputException("no-such-array", $"{option} {word}: there is no array '{id}'; there is {string.Join(", ", arrays.Select(a => a.Id))}");
    }

    internal static IReadOnlyList<int> RequireFour(string id, IReadOnlyList<int> channels) => channels.Count == SessionRules.CapsulesPerArray
        ? channels
        : throw new UnusableInputException("bad-channels", $"array '{id}' has {channels.Count} channels; it has to have four, one for each capsule");

    /// <summary>What stands behind the id, or all of it where there is none.</summary>
    internal static string After(string word) => word[(word.IndexOf('=', StringComparison.Ordinal) + 1)..];

    /// <param name="word">What was given.</param>
    /// <param name="option">Where.</param>
    /// <param name="form">How it has to be written, with an example.</param>
    internal static (string Id, string Value) Split(string word, string option, string form)
    {
        var at = word.IndexOf('=', StringComparison.Ordinal);
        return at > 0 && at < word.Length - 1
            ? (word[..at].Trim(), word[(at + 1)..])
            : throw new UnusableInputException("bad-arguments", $"{option} {word}: write {option} {form}");
    }

    internal static MountEntry ParseMount(string text)
    {
        var parts = text.Split(',');
        if (parts.Length != 3)
            throw new UnusableInputException("bad-arguments", $"--mount {text}: write three angles in degrees: YAW,PITCH,ROLL, as 0,0,180");
        var angles = Array.ConvertAll(parts, part => Number(part, "--mount", -360, 360));
        return new MountEntry { YawDeg = angles[0], PitchDeg = angles[1], RollDeg = angles[2] };
    }

    internal static double Number(string text, string option, double min, double max) =>
        Values.TryParseNumber(text, out var value) && value >= min && value <= max
            ? value
            : throw new UnusableInputException("bad-arguments", FormattableString.Invariant($"{option} is '{text}'; it has to be a number from {min} to {max}"));
}
