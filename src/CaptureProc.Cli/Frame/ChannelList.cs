using System.Globalization;
using CaptureProc.Session;

namespace CaptureProc.Cli.Frame;

/// <summary>Channels as people write them: <c>5</c>, <c>1-4</c>, <c>1,2,7-9</c>, or the names of tracks.</summary>
internal static class ChannelList
{
    private const int MaxChannel = 1024;

    /// <param name="text">What was written.</param>
    /// <param name="option">Where, for the message.</param>
    /// <param name="trackNames">Names of the recorder's tracks, channel 1 first; empty where they are not known.</param>
    public static IReadOnlyList<int> Parse(string text, string option, IReadOnlyList<string?> trackNames)
    {
        var channels = new List<int>();
        foreach (var part in text.Split(',', StringSplitOptions.TrimEntries))
        {
            var named = trackNames.Index().Where(t => string.Equals(t.Item, part, StringComparison.OrdinalIgnoreCase)).ToList();
            if (named.Count == 1)
            {
                channels.Add(named[0].Index + 1);
                continue;
            }
            var ends = part.Split('-');
            if (ends.Length is not (1 or 2) || !TryParse(ends[0], out var first) || !TryParse(ends[^1], out var last) || last < first)
                throw new UnusableInputException("bad-channels", named.Count > 1
                    ? $"{option} {text}: several tracks are called '{part}'; give the channel's number"
                    : $"{option} {text}: '{part}' is no channel{(trackNames.Any(n => n is not null) ? " and no track of the recording" : "")}; write 5, 1-4 or 1,2,3,4 (counted from 1)");
            channels.AddRange(Enumerable.Range(first, last - first + 1));
        }
        if (channels.Distinct().Count() != channels.Count)
            throw new UnusableInputException("bad-channels", $"{option} {text}: names a channel twice");
        return channels;
    }

    private static bool TryParse(string text, out int channel) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out channel) && channel is >= 1 and <= MaxChannel;
}
