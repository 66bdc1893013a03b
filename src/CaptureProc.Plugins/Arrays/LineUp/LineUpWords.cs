namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>How the line-up stands.</summary>
internal enum LineUpState
{
    Off, NoSignal, Listening, CannotTell, Within, Out, Clipped, Room, SeparateNoises,
}

/// <summary>What can be said of one channel.</summary>
internal enum LineUpVerdict
{
    NotMeasured, Reference, CannotTell, Within, Out, WithinInverted, OutInverted, NoSignal, Clipped,
}

/// <summary>What became of the last request to keep or write.</summary>
internal enum LineUpOutcome
{
    NothingKept, Kept, NotMeasured, Room, Clipped, Writing, Written, NothingToWrite, NoSession, Busy, Refused, NoArray, Unusable,
}

/// <summary>The same in words, by their numbers; short, because panels are narrow.</summary>
internal static class LineUpWords
{
    public static IReadOnlyList<string> States { get; } =
    [
        "Off", "No signal: feed pink noise", "Listening", "Cannot tell yet", "All within tolerance", "Out of tolerance", "Clipped: turn down",
        "Refused: this is a microphone in a room, nothing is measured", "Refused: every channel has a noise of its own",
    ];

    public static IReadOnlyList<string> Verdicts { get; } =
        ["Not measured", "Reference", "Cannot tell yet", "Within", "Out", "Within, but inverted", "Out, and inverted", "No signal", "Clipped"];

    public static IReadOnlyList<string> Outcomes { get; } =
    [
        "Nothing kept", "Kept in the project", "Not kept: not every channel is measured", "Not kept: a microphone in a room",
        "Not kept: a channel is clipped", "Writing to the session", "Written to the session", "Not written: keep a line-up first",
        "Not written: no session is chosen", "Not written: another program holds the file", "Not written: the file is write-protected",
        "Not written: the array is not in the file", "Not written: the file is missing, damaged or newer",
    ];

    /// <summary>By the set of channels that carry the noise just now, a bit each.</summary>
    public static IReadOnlyList<string> Feeds { get; } = [.. Enumerable.Range(0, 1 << LineUpParameters.Channels).Select(Feed)];

    private static string Feed(int carrying)
    {
        var channels = Enumerable.Range(0, LineUpParameters.Channels).Where(c => (carrying >> c & 1) != 0).Select(c => c + 1).ToList();
        return channels.Count switch
        {
            0 => "Nothing",
            1 => $"Channel {channels[0]}",
            LineUpParameters.Channels => "All at once",
            _ => $"Channels {string.Join(' ', channels)}",
        };
    }
}
