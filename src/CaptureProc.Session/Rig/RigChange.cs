namespace CaptureProc.Session.Rig;

/// <summary>A rig being changed: what stays true of the measurements is kept, what does not is dropped and named.</summary>
/// <remarks>
/// What a spot's channel carried was measured on that channel: on another one nothing of it holds. What an array heard was computed
/// with its channels, their order and its geometry: with others it has to be measured anew. Turning an array changes directions
/// alone, because its centre stays where it is. Trims of pink noise belong to the preamps of the channels and survive another geometry;
/// those of a room do not. Thread: one. Errors: <see cref="UnusableInputException"/>.
/// </remarks>
public sealed class RigChange(SessionDocument session)
{
    private readonly List<string> done = [];
    private readonly List<string> dropped = [];

    public SessionDocument Session { get; private set; } = session;

    /// <summary>What was changed, in words.</summary>
    public IReadOnlyList<string> Done => done;

    /// <summary>What holds no more, in words.</summary>
    public IReadOnlyList<string> Dropped => dropped;

    public void Title(string title)
    {
        Session = Session with { Title = title };
        done.Add($"the session is called '{title}'");
    }

    public void Add(ArrayEntry array)
    {
        Session = Session with { Arrays = [.. Session.Arrays, array] };
        done.Add($"array '{array.Id}' is added on channels {Listed(array.Channels)}");
    }

    public void Add(SpotEntry spot)
    {
        Session = Session with { Spots = [.. Session.Spots, spot] };
        done.Add($"spot '{spot.Id}' is added on {Channels(spot.Channels)}");
    }

    public void Patch(SpotEntry spot, IReadOnlyList<int> channels)
    {
        if (spot.Channels.SequenceEqual(channels))
            return;
        if (spot.Channels.Count != channels.Count && (spot.Channels.Count == SessionRules.CapsulesPerArray || channels.Count == SessionRules.CapsulesPerArray))
            throw new UnusableInputException("bad-channels",
                $"spot '{spot.Id}' has {spot.Channels.Count} channels, and {channels.Count} make another kind of microphone of it; remove it and add it anew");
        done.Add($"spot '{spot.Id}' is on {Channels(channels)} instead of {Listed(spot.Channels)}");
        Forget(spot.Id);
        var own = spot.ArrayId;
        Session = Session with
        {
            Spots = [.. Session.Spots.Select(s => s.Id == spot.Id ? s with { Channels = channels } : s)],
        };
        if (own is not null)
            Change(Session.FindArray(own), array => Unlevelled(array) with { Channels = channels });
    }

    public void Patch(ArrayEntry array, IReadOnlyList<int> channels)
    {
        if (array.Channels.SequenceEqual(channels))
            return;
        done.Add($"array '{array.Id}' is on channels {Listed(channels)} instead of {Listed(array.Channels)}");
        ForgetHeard(array);
        Change(array, a => Unlevelled(a) with { Channels = channels });
        if (Owner(array) is { } spot)
        {
            Forget(spot.Id);
            Session = Session with { Spots = [.. Session.Spots.Select(s => s.Id == spot.Id ? s with { Channels = channels } : s)] };
        }
    }

    /// <summary>Another order of the capsules, another geometry, another mount, or some of them.</summary>
    public void Build(ArrayEntry array, IReadOnlyList<CapsuleEntry> capsules, double radiusMm, double pattern, MountEntry mount)
    {
        var isOtherOrder = !array.Capsules.Select(c => c.Label).SequenceEqual(capsules.Select(c => c.Label));
        var isOtherBuild = isOtherOrder || array.RadiusMm != radiusMm || array.Pattern != pattern
            || !array.Capsules.Select(c => (c.AzimuthDeg, c.ElevationDeg)).SequenceEqual(capsules.Select(c => (c.AzimuthDeg, c.ElevationDeg)));
        var isTurned = array.Mount.ToRotation() != mount.ToRotation();
        if (!isOtherBuild && !isTurned)
            return;
        done.Add(FormattableString.Invariant(
            $"array '{array.Id}': {string.Join(' ', capsules.Select(c => c.Label))}, radius {radiusMm} mm, pattern {pattern}, yaw {mount.YawDeg} pitch {mount.PitchDeg} roll {mount.RollDeg}"));
        if (isOtherBuild)
            ForgetHeard(array);
        else
            ForgetDirections(array);
        // The time of a tetrahedral spot is that of its converted W, which hangs on its build; in which order the channels add up to it does not matter.
        if (isOtherBuild && Owner(array) is { } spot && (!isOtherOrder || array.RadiusMm != radiusMm || array.Pattern != pattern))
            Forget(spot.Id);
        Change(array, a => WithoutRoomTrims(isOtherOrder || isTurned ? Unchecked(a) : a, isOtherBuild) with { Capsules = capsules, RadiusMm = radiusMm, Pattern = pattern, Mount = mount });
    }

    public void Rename(string from, string to)
    {
        var (array, spot) = (Session.Arrays.FirstOrDefault(a => Same(a.Id, from)), Session.Spots.FirstOrDefault(s => Same(s.Id, from)));
        if (array is null && spot is null)
            throw Missing(from);
        string New(string id) => Same(id, from) ? to : id;
        if (array is not null)
            Session = Session with
            {
                Arrays = [.. Session.Arrays.Select(a => a with { Id = New(a.Id) })],
                Spots = [.. Session.Spots.Select(s => s with
                {
                    ArrayId = s.ArrayId is { } id ? New(id) : null,
                    Delays = s.Delays is null ? null : [.. s.Delays.Select(d => d with { Array = New(d.Array) })],
                })],
                Clicks = [.. Session.Clicks.Select(c => c with { Array = c.Array is { } id ? New(id) : null })],
            };
        if (spot is not null)
            Session = Session with
            {
                Spots = [.. Session.Spots.Select(s => s with { Id = New(s.Id) })],
                Clicks = [.. Session.Clicks.Select(c => c with { Spot = c.Spot is { } id ? New(id) : null })],
            };
        Session = Session with { Stage = Session.Stage?.Renamed(from, to) };
        done.Add($"{(spot is null ? "array" : "spot")} '{spot?.Id ?? array!.Id}' is called '{to}'");
    }

    public void Remove(string id)
    {
        if (Session.Spots.FirstOrDefault(s => Same(s.Id, id)) is { } spot)
        {
            Forget(spot.Id);
            Session = Session with { Spots = [.. Session.Spots.Where(s => s.Id != spot.Id)] };
            done.Add($"spot '{spot.Id}' is removed");
            if (spot.ArrayId is { } own && Session.Arrays.FirstOrDefault(a => Same(a.Id, own)) is { } ownArray)
                RemoveArray(ownArray);
            return;
        }
        var array = Session.Arrays.FirstOrDefault(a => Same(a.Id, id)) ?? throw Missing(id);
        if (Owner(array) is { } owner)
            throw new UnusableInputException("array-in-use", $"array '{array.Id}' is the microphone of spot '{owner.Id}'; remove the spot");
        if (Session.Arrays.Count(a => Owner(a) is null) == 1)
            throw new UnusableInputException("array-in-use", $"array '{array.Id}' is the only one of the session; add another one first");
        RemoveArray(array);
        done.Add($"array '{array.Id}' is removed");
    }

    /// <summary>Refuses a rig in which two microphones share a channel.</summary>
    public void RequireOwnChannels()
    {
        var owners = new Dictionary<int, string>();
        var microphones = Session.Arrays.Where(a => Owner(a) is null).Select(a => (Name: $"array '{a.Id}'", a.Channels))
            .Concat(Session.Spots.Select(s => (Name: $"spot '{s.Id}'", s.Channels)));
        foreach (var (name, channels) in microphones)
            foreach (var channel in channels)
                if (!owners.TryAdd(channel, name))
                    throw new UnusableInputException("bad-channels", $"{name} and {owners[channel]} share channel {channel}; give each its own");
    }

    /// <summary>Everything that has been measured in a session, in words.</summary>
    public static IReadOnlyList<string> Measured(SessionDocument session)
    {
        ArgumentNullException.ThrowIfNull(session);
        return
        [
            .. session.Arrays.SelectMany(a => a.TrimSets.Select(t => $"trims '{t.Name}' of array '{a.Id}'")),
            .. session.Arrays.Where(a => a.Patch is not null).Select(a => $"the patch check of array '{a.Id}'"),
            .. session.Spots.Where(HasMeasurement).Select(s => $"what was measured of spot '{s.Id}'"),
            .. session.Stage is { Spots.Count: > 0 } ? ["the places on the stage"] : Array.Empty<string>(),
            .. session.Clicks.Count > 0 ? [$"{session.Clicks.Count} claps of the slate"] : Array.Empty<string>(),
            .. session.Room is not null ? ["the decay of the room"] : Array.Empty<string>(),
        ];
    }

    private void RemoveArray(ArrayEntry array)
    {
        var before = Session;
        var wasMain = before.IsMain(array);
        DropOwn(array);
        Session = Session with { Arrays = [.. Session.Arrays.Where(a => a != array)] };
        if (!wasMain)
        {
            ForgetHeard(array);
            return;
        }
        // What was measured against the next array takes the place of what the removed one heard.
        var main = Session.MainArray();
        if (Names(before.Spots.Where(s => s.Delay is not null)) is { } heard)
            dropped.Add($"what array '{array.Id}' heard of {heard}");
        Session = Session with
        {
            Spots = [.. before.Spots.Select(spot =>
            {
                var now = before.HeardBy(main, spot);
                return now with { Note = now.Delay is null ? null : now.Note, Delays = Others(spot, main) };
            })],
            Clicks = [.. before.Clicks.Where(c => c.Array is { } id && !Same(id, array.Id)).Select(c => Same(c.Array!, main.Id) ? c with { Array = null } : c)],
        };
        ForgetStage(array);
    }

    // What is seen from an array, or of it, on the stage.
    private void ForgetStage(ArrayEntry array)
    {
        // Of a spot's own array everything goes with the spot.
        if (Session.Stage is not { } stage || Owner(array) is not null || !stage.Knows(array.Id))
            return;
        var left = stage.WithoutArray(array.Id);
        dropped.Add(left is null ? "the places on the stage, and who is heard where" : $"the place of array '{array.Id}' on the stage, and whom it hears");
        Session = Session with { Stage = left };
    }

    private void DropOwn(ArrayEntry array)
    {
        foreach (var set in array.TrimSets)
            dropped.Add($"trims '{set.Name}' of array '{array.Id}'");
        if (array.Patch is not null)
            dropped.Add($"the patch check of array '{array.Id}'");
    }

    private void Change(ArrayEntry array, Func<ArrayEntry, ArrayEntry> change) =>
        Session = Session with { Arrays = [.. Session.Arrays.Select(a => a.Id == array.Id ? change(a) : a)] };

    private ArrayEntry Unlevelled(ArrayEntry array)
    {
        DropOwn(array);
        return array with { TrimSets = [], ActiveTrim = null, Patch = null };
    }

    private ArrayEntry Unchecked(ArrayEntry array)
    {
        if (array.Patch is not null)
            dropped.Add($"the patch check of array '{array.Id}'");
        return array with { Patch = null };
    }

    private ArrayEntry WithoutRoomTrims(ArrayEntry array, bool isOtherBuild)
    {
        var kept = array.TrimSets.Where(t => !isOtherBuild || t.Source == LineUpTrims.FromPinkNoise).ToList();
        foreach (var set in array.TrimSets.Except(kept))
            dropped.Add($"trims '{set.Name}' of array '{array.Id}'");
        return array with { TrimSets = kept, ActiveTrim = kept.Exists(t => t.Name == array.ActiveTrim) ? array.ActiveTrim : null };
    }

    private void Forget(string spotId)
    {
        var spot = Session.FindSpot(spotId);
        var claps = Session.Clicks.Count(c => c.Spot is { } id && Same(id, spot.Id));
        if (HasMeasurement(spot) || claps > 0)
            dropped.Add($"what was measured of spot '{spot.Id}'{(claps > 0 ? $", and its {(claps == 1 ? "clap" : $"{claps} claps")}" : "")}");
        if (Session.Stage?.Knows(spot.Id) == true)
            dropped.Add($"the place of spot '{spot.Id}' on the stage, whom it hears and who hears its player");
        Session = Session with
        {
            Spots = [.. Session.Spots.Select(s => s.Id == spot.Id ? Unmeasured(s) with { Delays = null, Clock = null } : s)],
            Clicks = [.. Session.Clicks.Where(c => c.Spot is null || !Same(c.Spot, spot.Id))],
            Stage = Session.Stage?.WithoutSpot(spot.Id),
        };
    }

    private void ForgetHeard(ArrayEntry array)
    {
        var isMain = Session.Arrays.Any(a => a.Id == array.Id) && Session.IsMain(array);
        bool IsHeard(SpotEntry s) => isMain ? s.Delay is not null || s.Direction is not null : s.Delays?.Any(d => Same(d.Array, array.Id)) == true;
        if (Names(Session.Spots.Where(IsHeard)) is { } heard)
            dropped.Add($"what array '{array.Id}' heard of {heard}");
        if (isMain && Session.Room is not null)
            dropped.Add("the decay of the room");
        Session = Session with
        {
            Spots = [.. Session.Spots.Select(s => isMain ? Unmeasured(s) : s with { Delays = Others(s, array) })],
            Clicks = [.. Session.Clicks.Where(c => c.Array is { } id ? !Same(id, array.Id) : !isMain)],
            Room = isMain ? null : Session.Room,
        };
        ForgetStage(array);
    }

    private void ForgetDirections(ArrayEntry array)
    {
        var isMain = Session.IsMain(array);
        bool IsOf(ArrayDelay d) => Same(d.Array, array.Id) && d.Direction is not null;
        if (Names(Session.Spots.Where(s => isMain ? s.Direction is not null : s.Delays?.Any(IsOf) == true)) is { } heard)
            dropped.Add($"the directions of {heard} as array '{array.Id}' heard them");
        Session = Session with
        {
            Spots = [.. Session.Spots.Select(s => isMain
                ? s with { Direction = null }
                : s with { Delays = s.Delays is null ? null : [.. s.Delays.Select(d => IsOf(d) ? d with { Direction = null } : d)] })],
        };
        if (Session.Stage is not { } stage || Owner(array) is not null)
            return;
        if (Same(stage.Array, array.Id))
            dropped.Add("the places on the stage");
        else if (stage.Arrays.Any(a => Same(a.Id, array.Id)))
            dropped.Add($"the place of array '{array.Id}' on the stage");
        Session = Session with { Stage = stage.Turned(array.Id) };
    }

    private SpotEntry? Owner(ArrayEntry array) => Session.Spots.FirstOrDefault(s => s.ArrayId is { } id && Same(id, array.Id));

    private UnusableInputException Missing(string id) => new("no-such-microphone",
        $"there is no array and no spot '{id}' in the session; it holds {string.Join(", ", Session.Arrays.Select(a => a.Id).Concat(Session.Spots.Select(s => s.Id)).Distinct())}");

    private static SpotEntry Unmeasured(SpotEntry spot) => spot with { Delay = null, Polarity = null, Direction = null, DistanceM = null, GainDb = null, Slate = null, Note = null };

    private static bool HasMeasurement(SpotEntry spot) =>
        spot.Delay is not null || spot.Delays is { Count: > 0 } || spot.Clock is not null || spot.Direction is not null || spot.GainDb is not null;

    private static ArrayDelay[]? Others(SpotEntry spot, ArrayEntry array) =>
        spot.Delays?.Where(d => !Same(d.Array, array.Id)).ToArray() is { Length: > 0 } others ? others : null;

    private static string? Names(IEnumerable<SpotEntry> spots) => string.Join(", ", spots.Select(s => s.Id)) is { Length: > 0 } names ? names : null;

    private static string Channels(IReadOnlyList<int> channels) => $"{(channels.Count == 1 ? "channel" : "channels")} {Listed(channels)}";

    private static string Listed(IReadOnlyList<int> channels) => string.Join(' ', channels);

    private static bool Same(string a, string b) => string.Equals(a, b, StringComparison.OrdinalIgnoreCase);
}
