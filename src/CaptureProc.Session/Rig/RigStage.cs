using System.Text.RegularExpressions;

namespace CaptureProc.Session.Rig;

/// <summary>The stage of a session when its rig is changed: names are followed, and what holds no more is left out.</summary>
/// <remarks>
/// Thread: [any]. Places were found together, but each from what its own microphone heard: without one of them the others stay. The array
/// at the origin is different, because all lengths and directions are seen from it. Concerns are words; those that name what has gone go along.
/// </remarks>
internal static class RigStage
{
    /// <summary>What a microphone is called now; spots and arrays of one name are one microphone.</summary>
    public static StageEntry Renamed(this StageEntry stage, string from, string to)
    {
        string New(string id) => Same(id, from) ? to : id;
        return stage with
        {
            Array = New(stage.Array),
            Spots = [.. stage.Spots.Select(s => s with { Id = New(s.Id) })],
            Claps = [.. stage.Claps.Select(c => c with { Spot = c.Spot is { } id ? New(id) : null })],
            Arrays = [.. stage.Arrays.Select(a => a with { Id = New(a.Id) })],
            Closures = [.. stage.Closures.Select(c => c with { Microphone = New(c.Microphone) })],
            Bleed = [.. stage.Bleed.Select(b => b with { Player = New(b.Player), Microphone = New(b.Microphone) })],
            Concerns = [.. stage.Concerns.Select(c => Quoted(from).Replace(c, _ => $"'{to}'").Replace($"({from})", $"({to})", StringComparison.OrdinalIgnoreCase))],
        };
    }

    /// <summary>Without a spot: its place and its player's, what it heard and who heard its player.</summary>
    public static StageEntry WithoutSpot(this StageEntry stage, string id)
    {
        var own = stage.Claps.Where(c => c.Spot is { } spot && Same(spot, id)).Select(c => c.TimeSeconds).ToHashSet();
        return stage.WithoutMicrophone(id) with
        {
            Spots = [.. stage.Spots.Where(s => !Same(s.Id, id))],
            Claps = [.. stage.Claps.Where(c => c.Spot is not { } spot || !Same(spot, id))],
            Closures = [.. stage.Closures.Where(c => !Same(c.Microphone, id) && !own.Contains(c.TimeSeconds))],
            Bleed = [.. stage.Bleed.Where(b => !Same(b.Microphone, id) && !Same(b.Player, id))],
        };
    }

    /// <summary>Without a further array: its place and what it heard. Without the one at the origin nothing is left.</summary>
    public static StageEntry? WithoutArray(this StageEntry stage, string id) => Same(stage.Array, id) ? null : stage.Placeless(id).WithoutMicrophone(id);

    /// <summary>An array has been turned: seen from the one at the origin no direction holds; another one's place was told with its turn.</summary>
    /// <remarks>How late and how loud everybody is heard does not ask for directions, and stays.</remarks>
    public static StageEntry Turned(this StageEntry stage, string id) => Same(stage.Array, id)
        ? stage with { FloorM = null, Spots = [], Claps = [], Arrays = [], Closures = [], Concerns = [] }
        : stage.Placeless(id);

    /// <summary>Whether anything in it stands under a name.</summary>
    public static bool Knows(this StageEntry stage, string id) => Same(stage.Array, id)
        || stage.Spots.Any(s => Same(s.Id, id)) || stage.Claps.Any(c => c.Spot is { } spot && Same(spot, id)) || stage.Arrays.Any(a => Same(a.Id, id))
        || stage.Closures.Any(c => Same(c.Microphone, id)) || stage.Bleed.Any(b => Same(b.Microphone, id) || Same(b.Player, id));

    private static StageEntry Placeless(this StageEntry stage, string id) => stage with
    {
        Arrays = [.. stage.Arrays.Where(a => !Same(a.Id, id))],
        Concerns = [.. stage.Concerns.Where(c => !Quoted(id).IsMatch(c))],
    };

    private static StageEntry WithoutMicrophone(this StageEntry stage, string id) => stage with
    {
        Closures = [.. stage.Closures.Where(c => !Same(c.Microphone, id))],
        Bleed = [.. stage.Bleed.Where(b => !Same(b.Microphone, id))],
        Concerns = [.. stage.Concerns.Where(c => !Names(c, id))],
    };

    // Names stand in quotes, but for that of a clap's own spot, which stands in brackets.
    private static bool Names(string concern, string id) => Quoted(id).IsMatch(concern) || concern.Contains($"({id})", StringComparison.OrdinalIgnoreCase);

    private static Regex Quoted(string id) => new($"'{Regex.Escape(id)}'", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant);

    private static bool Same(string a, string b) => string.Equals(a, b, StringComparison.OrdinalIgnoreCase);
}
