using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>What the names of a recorder's tracks tell about the session.</summary>
internal static class TrackNames
{
    /// <summary>Four tracks whose names end in the four capsules of a tetrahedron, as "FLU" or "Main FLU".</summary>
    public static (int[] Channels, string[] Labels)? FindArray(IReadOnlyList<string?> tracks)
    {
        // Tracks with the same words before the capsule belong together: "Main FLU" and "Organ FLU" are two arrays.
        var arrays = tracks.Index()
            .Select(t => (Channel: t.Index + 1, Label: LabelOf(t.Item), Group: GroupOf(t.Item)))
            .Where(t => t.Label is not null)
            .GroupBy(t => t.Group, StringComparer.OrdinalIgnoreCase)
            .Where(g => g.Count() == SessionRules.CapsulesPerArray && g.Select(t => t.Label).Distinct().Count() == SessionRules.CapsulesPerArray)
            .ToList();
        return arrays.Count == 0 ? null : ([.. arrays[0].Select(t => t.Channel)], [.. arrays[0].Select(t => t.Label!)]);
    }

    /// <summary>The capsules on given channels, where all four tracks name one; null otherwise.</summary>
    public static string[]? CapsulesOf(IReadOnlyList<int> channels, IReadOnlyList<string?> tracks)
    {
        var labels = channels.Select(c => c <= tracks.Count ? LabelOf(tracks[c - 1]) : null).ToList();
        return labels.TrueForAll(l => l is not null) && labels.Distinct().Count() == labels.Count ? [.. labels.Select(l => l!)] : null;
    }

    /// <summary>A spot for each named track that no array uses; four tracks named after the capsules of one microphone are one spot.</summary>
    public static List<(string Id, IReadOnlyList<int> Channels)> FindSpots(IReadOnlyList<string?> tracks, IReadOnlyList<int> taken)
    {
        var spots = new List<(string Id, IReadOnlyList<int> Channels)>();
        foreach (var (index, name) in tracks.Index())
        {
            var channel = index + 1;
            if (name is null || taken.Contains(channel) || spots.Exists(s => s.Channels.Contains(channel)))
                continue;
            var capsules = MicrophoneOf(name, tracks, taken);
            var id = IdFrom(capsules is null ? name : GroupOf(name));
            if (id.Length == 0 || spots.Exists(s => s.Id.Equals(id, StringComparison.OrdinalIgnoreCase)))
                id = $"{id} {channel}".Trim();
            spots.Add((id, capsules ?? [channel]));
        }
        return spots;
    }

    /// <summary>The four channels of the microphone that a track is a capsule of; null where it is none.</summary>
    private static int[]? MicrophoneOf(string name, IReadOnlyList<string?> tracks, IReadOnlyList<int> taken)
    {
        if (LabelOf(name) is null || GroupOf(name).Length == 0)
            return null;
        var group = tracks.Index()
            .Where(t => LabelOf(t.Item) is not null && GroupOf(t.Item).Equals(GroupOf(name), StringComparison.OrdinalIgnoreCase) && !taken.Contains(t.Index + 1))
            .ToList();
        return group.Count == SessionRules.CapsulesPerArray && group.Select(t => LabelOf(t.Item)).Distinct().Count() == group.Count
            ? [.. group.Select(t => t.Index + 1)]
            : null;
    }

    private static string? LabelOf(string? name)
    {
        var last = name?.Split([' ', '-', '_', '.'], StringSplitOptions.RemoveEmptyEntries).LastOrDefault();
        return last is not null && CapsuleLabel.TryParse(last, out var capsule) ? capsule.Label : null;
    }

    private static string GroupOf(string? name) => name is { Length: >= 3 } ? name[..^3].Trim(' ', '-', '_', '.') : "";

    // What may not stand in a file name becomes a hyphen.
    private static string IdFrom(string name)
    {
        var id = new StringBuilder();
        foreach (var c in name)
            id.Append(char.IsControl(c) || "/\\:*?\"<>|=,".Contains(c, StringComparison.Ordinal) ? '-' : c);
        return id.ToString().Trim().Trim('.');
    }
}
