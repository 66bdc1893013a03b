using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The trims that the plug-in can switch between: the session's choice, as recorded, up to four sets by name, a kept line-up. Immutable.</summary>
/// <remarks>Thread: made on [main] or the shared worker, read on [audio].</remarks>
internal sealed class TrimTable
{
    /// <summary>Values of the parameter: the set that the session calls active, the levels as recorded, then the sets.</summary>
    public const int SessionsChoice = 0, Recorded = 1, FirstSet = 2, SetCount = 6;

    /// <summary>Behind them, and no value of the parameter: the line-up that the plug-in has kept.</summary>
    public const int Kept = SetCount;

    private const int Capsules = 4;

    public static TrimTable AsRecorded { get; } = Of(null, null);

    private readonly float[] db = new float[(SetCount + 1) * Capsules];

    private TrimTable(IReadOnlyList<string> names, IReadOnlyList<IReadOnlyList<double>> sets, int active, TrimSet? kept)
    {
        HasActive = active >= 0;
        for (var i = 0; i < Capsules; i++)
            db[Kept * Capsules + i] = (float)(kept?.Db[i] ?? 0);
        Names = ["Session's choice", "As recorded", .. names.Take(SetCount - FirstSet)];
        for (var set = 0; set < sets.Count; set++)
            for (var i = 0; i < Capsules; i++)
            {
                if (set < SetCount - FirstSet)
                    db[(FirstSet + set) * Capsules + i] = (float)sets[set][i];
                if (set == active)
                    db[SessionsChoice * Capsules + i] = (float)sets[set][i];
            }
    }

    /// <summary>What each value is called; a session with fewer than four sets ends earlier.</summary>
    public IReadOnlyList<string> Names { get; }

    /// <summary>Whether the session calls a set active.</summary>
    public bool HasActive { get; }

    /// <param name="array">The session's array; null without one.</param>
    /// <param name="kept">The line-up that was kept; null for none.</param>
    public static TrimTable Of(ArrayEntry? array, TrimSet? kept)
    {
        var sets = array?.TrimSets.Where(s => s.Db.Count == Capsules).ToList() ?? [];
        return new TrimTable([.. sets.Select(s => s.Name)], [.. sets.Select(s => s.Db)], sets.FindIndex(s => s.Name == array?.ActiveTrim), kept);
    }

    /// <summary>dB to add to each capsule with a set; a set that is not there is as recorded. [audio]</summary>
    public ReadOnlySpan<float> Db(int set) => db.AsSpan(set * Capsules, Capsules);

    /// <summary>What levels a set with the others: minus its mean power over the capsules. [audio]</summary>
    public static float MatchingDb(ReadOnlySpan<float> totalDb)
    {
        var power = 0.0;
        foreach (var value in totalDb)
            power += Math.Pow(10, value / 10);
        return (float)(-10 * Math.Log10(power / totalDb.Length));
    }
}
