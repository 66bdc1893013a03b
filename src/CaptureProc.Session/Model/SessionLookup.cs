namespace CaptureProc.Session;

/// <summary>Finding things in a session by the names people give them.</summary>
public static class SessionLookup
{
    /// <summary>The array that everything is lined up with: the first that does not belong to a spot.</summary>
    public static ArrayEntry MainArray(this SessionDocument session) =>
        session.Arrays.FirstOrDefault(a => session.Spots.All(s => s.ArrayId != a.Id))
        ?? (session.Arrays.Count > 0 ? session.Arrays[0] : null)
        ?? throw new UnusableInputException("no-array", "the session holds no array; add one with 'captureproc start --array'");

    /// <summary>The array of a name; <c>null</c> asks for the main array.</summary>
    public static ArrayEntry FindArray(this SessionDocument session, string? id) => id is null
        ? session.MainArray()
        : session.Arrays.FirstOrDefault(a => string.Equals(a.Id, id, StringComparison.OrdinalIgnoreCase))
        ?? throw new UnusableInputException("no-such-array",
            $"there is no array '{id}' in the session; it holds {Listed(session.Arrays.Select(a => a.Id))}");

    public static SpotEntry FindSpot(this SessionDocument session, string id) =>
        session.Spots.FirstOrDefault(s => string.Equals(s.Id, id, StringComparison.OrdinalIgnoreCase))
        ?? throw new UnusableInputException("no-such-spot",
            $"there is no spot '{id}' in the session; it holds {Listed(session.Spots.Select(s => s.Id))}");

    /// <summary>The capsule array that a spot with four channels is; null for any other spot.</summary>
    /// <remarks>
    /// By <c>arrayId</c> where it is given, else the array on the same channels. A session that says neither is taken to use
    /// the main array's build, upright: the likeliest guess, and the caller has to say that it is one
    /// (<paramref name="isAssumed"/>).
    /// </remarks>
    public static ArrayEntry? ArrayOf(this SessionDocument session, SpotEntry spot, out bool isAssumed)
    {
        isAssumed = false;
        if (spot.Channels.Count != SessionRules.CapsulesPerArray)
            return null;
        if (spot.ArrayId is { } id)
            return session.FindArray(id) with { Channels = spot.Channels };
        if (session.Arrays.FirstOrDefault(a => a.Channels.SequenceEqual(spot.Channels)) is { } same)
            return same;
        isAssumed = true;
        return session.MainArray() with
        {
            Id = spot.Id, Channels = spot.Channels, Mount = new MountEntry(), TrimSets = [], ActiveTrim = null,
        };
    }

    /// <summary>The dB to add to each channel of an array.</summary>
    /// <param name="array">The array.</param>
    /// <param name="name">A trim set; null for the active one, <c>none</c> for the levels as recorded.</param>
    public static IReadOnlyList<double> TrimDb(this ArrayEntry array, string? name = null)
    {
        name ??= array.ActiveTrim;
        if (array.TrimSets.FirstOrDefault(t => t.Name == name) is { } set)
            return set.Db;
        if (name is null or "none")
            return new double[array.Channels.Count];
        throw new UnusableInputException("no-such-trim",
            $"array '{array.Id}' has no trim set '{name}'; it has {Listed(array.TrimSets.Select(t => t.Name).Append("none"))}");
    }

    private static string Listed(IEnumerable<string> names)
    {
        var text = string.Join(", ", names);
        return text.Length == 0 ? "none" : text;
    }
}
