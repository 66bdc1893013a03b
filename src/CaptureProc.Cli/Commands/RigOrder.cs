using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Design;
using CaptureProc.Session;
using CaptureProc.Session.Rig;

namespace CaptureProc.Cli.Commands;

/// <summary>The changes of a rig as the words of a command line ask for them: first removals and names, then channels, then geometry.</summary>
internal sealed record RigOrder
{
    public string[] Arrays { get; init; } = [];
    public string[] Spots { get; init; } = [];
    public string[] Renames { get; init; } = [];
    public string[] Removals { get; init; } = [];
    public string[] Presets { get; init; } = [];
    public string[] Orders { get; init; } = [];
    public string[] RadiiMm { get; init; } = [];
    public string[] Patterns { get; init; } = [];
    public string[] Mounts { get; init; } = [];
    public string? Title { get; init; }

    public bool IsEmpty => Title is null && new[] { Arrays, Spots, Renames, Removals, Presets, Orders, RadiiMm, Patterns, Mounts }.All(words => words.Length == 0);

    public RigChange ApplyTo(SessionDocument session, Desk desk)
    {
        var change = new RigChange(session);
        foreach (var id in Removals)
            change.Remove(id);
        foreach (var word in Renames)
        {
            var (from, to) = SessionPlan.Split(word, "--rename", "OLD=NEW, as harp=harp-left");
            change.Rename(from, to.Trim());
        }
        RequireNamed(change.Session);
        var plan = new SessionPlan { Presets = Presets, Orders = Orders, RadiiMm = RadiiMm, Patterns = Patterns, Mounts = Mounts };
        foreach (var word in Arrays)
            Place(change, plan, word, desk);
        foreach (var word in Spots)
            PlaceSpot(change, plan, word, desk);
        foreach (var id in Geometries(change.Session))
            Build(change, id, plan, desk);
        if (Title is { } title)
            change.Title(title);
        change.RequireOwnChannels();
        return change;
    }

    // A word without an id means the main array; beside a new array it might mean that.
    private void RequireNamed(SessionDocument session)
    {
        var isNew = Arrays.Any(w => Find(session.Arrays, a => a.Id, w.Split('=')[0].Trim()) is null) || Spots.Any(w => Find(session.Spots, s => s.Id, w.Split('=')[0].Trim()) is null);
        foreach (var (option, words) in new[] { ("--preset", Presets), ("--order", Orders), ("--radius-mm", RadiiMm), ("--pattern", Patterns), ("--mount", Mounts) })
            if (isNew && Array.Find(words, w => !w.Contains('=', StringComparison.Ordinal)) is { } word)
                throw new UnusableInputException("bad-arguments", $"{option} {word}: does not say which array, and one is new; write {option} ID={word}");
    }

    private static void Place(RigChange change, SessionPlan plan, string word, Desk desk)
    {
        var (id, value) = SessionPlan.Split(word, "--array", "ID=CHANNELS, as main=1-4");
        var channels = ChannelList.Parse(value, "--array", []);
        if (Find(change.Session.Arrays, a => a.Id, id) is { } array)
            change.Patch(array, SessionPlan.RequireFour(id, channels));
        else
            change.Add(plan.BuildArray(id, channels, [], desk));
    }

    private static void PlaceSpot(RigChange change, SessionPlan plan, string word, Desk desk)
    {
        var (id, value) = SessionPlan.Split(word, "--spot", "ID=CHANNELS, as harp=5");
        var channels = ChannelList.Parse(value, "--spot", []);
        if (Find(change.Session.Spots, s => s.Id, id) is { } spot)
        {
            change.Patch(spot, channels);
            return;
        }
        var isArray = channels.Count == SessionRules.CapsulesPerArray;
        if (isArray)
            change.Add(plan.BuildArray(id, channels, [], desk));
        change.Add(new SpotEntry { Id = id, Channels = channels, ArrayId = isArray ? id : null });
    }

    /// <summary>The arrays whose geometry is spoken of; words without an id mean the main array.</summary>
    private List<string> Geometries(SessionDocument session) => Presets.Concat(Orders).Concat(RadiiMm).Concat(Patterns).Concat(Mounts)
        .Select(word => word.Contains('=', StringComparison.Ordinal) ? session.FindArray(word.Split('=')[0].Trim()).Id : session.MainArray().Id)
        .Distinct().ToList();

    private void Build(RigChange change, string id, SessionPlan plan, Desk desk)
    {
        var array = change.Session.FindArray(id);
        string? Word(string[] words) => Array.FindLast(words, w => w.Contains('=', StringComparison.Ordinal)
            ? w.Split('=')[0].Trim().Equals(id, StringComparison.OrdinalIgnoreCase)
            : id == change.Session.MainArray().Id);
        // What is not spoken of stays, but for a preset, which brings all of a geometry.
        var wanted = Word(Presets) is not null ? plan.BuildArray(id, array.Channels, [], desk) : array;
        if (Word(Orders) is { } order)
            wanted = wanted with { Capsules = CapsuleLabel.Reorder(SessionPlan.After(order).Split(',', StringSplitOptions.TrimEntries), wanted.Capsules) };
        if (Word(RadiiMm) is { } radius)
            wanted = wanted with { RadiusMm = SessionPlan.Number(SessionPlan.After(radius), "--radius-mm", 0.1, 200) };
        if (Word(Patterns) is { } pattern)
            wanted = wanted with { Pattern = SessionPlan.Number(SessionPlan.After(pattern), "--pattern", 0, 1) };
        if (Word(Mounts) is { } mount)
            wanted = wanted with { Mount = SessionPlan.ParseMount(SessionPlan.After(mount)) };
        if (ArrayResolution.FindProblem(wanted.ToCapsuleArray()) is { } problem)
            throw new UnusableInputException("array-unresolvable", $"array '{id}': {problem.TrimEnd('.')}");
        change.Build(array, wanted.Capsules, wanted.RadiusMm, wanted.Pattern, wanted.Mount);
    }

    private static T? Find<T>(IEnumerable<T> all, Func<T, string> idOf, string id) where T : class =>
        all.FirstOrDefault(x => string.Equals(idOf(x), id, StringComparison.OrdinalIgnoreCase));
}
