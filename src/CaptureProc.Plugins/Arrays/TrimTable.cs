using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The trims that the plug-in can switch between: the session's choice, as recorded, a kept line-up, every set by name. Immutable.</summary>
/// <remarks>Thread: made on [main] or the shared worker, read on [audio].</remarks>
internal sealed class TrimTable
{
    /// <summary>Places in the table.</summary>
    public const int SessionsChoice = 0, Recorded = 1, Kept = 2, FirstSet = 3;

    /// <summary>Values of the parameter "Trim set": the session's choice, as recorded, then four sets. Their number lives in saved projects.</summary>
    public const int ChoiceCount = 6;

    /// <summary>Values of the parameters that name a set to compare: what "Trim set" and "Trims from" say, then the places from <see cref="Recorded"/> on.</summary>
    public const int ComparedCount = 32;

    private const int ChoiceSets = 2;
    private const int Capsules = 4;

    public static TrimTable AsRecorded { get; } = Of(null, null);

    private readonly float[] db;
    private readonly IReadOnlyList<string> names;
    private readonly bool hasKept;

    private TrimTable(IReadOnlyList<TrimSet> sets, int active, TrimSet? kept)
    {
        (HasActive, hasKept) = (active >= 0, kept is not null);
        names = [.. sets.Select(s => s.Name)];
        db = new float[(FirstSet + sets.Count) * Capsules];
        if (active >= 0)
            Put(SessionsChoice, sets[active]);
        if (kept is not null)
            Put(Kept, kept);
        for (var set = 0; set < sets.Count; set++)
            Put(FirstSet + set, sets[set]);
    }

    /// <summary>Whether the session calls a set active.</summary>
    public bool HasActive { get; }

    /// <param name="array">The session's array; null without one.</param>
    /// <param name="kept">The line-up that was kept; null for none.</param>
    public static TrimTable Of(ArrayEntry? array, TrimSet? kept)
    {
        var sets = array?.TrimSets.Where(s => s.Db.Count == Capsules).ToList() ?? [];
        return new TrimTable(sets, sets.FindIndex(s => s.Name == array?.ActiveTrim), kept);
    }

    /// <summary>The place that a value of "Trim set" means.</summary>
    public static int PlaceOfChoice(int choice) => choice < ChoiceSets ? choice : FirstSet + choice - ChoiceSets;

    /// <summary>dB to add to each capsule with a set; a set that is not there is as recorded. [audio]</summary>
    public ReadOnlySpan<float> Db(int place) => db.AsSpan((place * Capsules < db.Length ? place : Recorded) * Capsules, Capsules);

    /// <summary>Whether there is a set behind a value of "Trim set".</summary>
    public bool IsChoice(int choice) => choice < ChoiceSets || IsPlace(PlaceOfChoice(choice));

    /// <summary>The same for a value of the compared sets.</summary>
    public bool IsCompared(int value) => value <= Recorded || IsPlace(value);

    private bool IsPlace(int place) => place == Kept ? hasKept : place - FirstSet < names.Count;

    /// <summary>What a value of "Trim set" is called.</summary>
    public string NameOfChoice(int choice) => choice == SessionsChoice ? "Session's choice" : NameAt(PlaceOfChoice(choice), choice);

    /// <summary>What a value of the compared sets is called.</summary>
    public string NameOfCompared(int value) => value == 0 ? "As 'Trim set' says" : NameAt(value, value);

    // A host lists all values that there may be; what is behind one without a set is heard all the same, so it is said.
    private string NameAt(int place, int value) => place switch
    {
        Recorded => "As recorded",
        Kept => hasKept ? "Kept line-up" : "No line-up kept: as recorded",
        _ => place - FirstSet < names.Count ? names[place - FirstSet] : $"No set {value}: as recorded",
    };

    private void Put(int place, TrimSet set)
    {
        for (var i = 0; i < Capsules; i++)
            db[place * Capsules + i] = (float)set.Db[i];
    }

    /// <summary>What levels a set with the others: minus its mean power over the capsules. [audio]</summary>
    public static float MatchingDb(ReadOnlySpan<float> totalDb)
    {
        var power = 0.0;
        foreach (var value in totalDb)
            power += Math.Pow(10, value / 10);
        return (float)(-10 * Math.Log10(power / totalDb.Length));
    }
}
