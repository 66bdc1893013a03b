namespace CaptureProc.Session;

/// <summary>A line-up's trims as they are kept, the same from the command line and from a plug-in.</summary>
public static class LineUpTrims
{
    /// <summary>What the set of a line-up with pink noise is called where nobody asks for another name.</summary>
    public const string UsualName = "line-up";

    /// <summary>Where such a set comes from.</summary>
    public const string FromPinkNoise = "pink";

    // A tenth of a thousandth of a dB, a tenth of that for the uncertainty: far below what can be measured, and readable in the file.
    private const int TrimDigits = 4, UncertaintyDigits = 5;

    /// <param name="name">Of the set.</param>
    /// <param name="source">What was listened to.</param>
    /// <param name="trimDb">The dB to add to each channel.</param>
    /// <param name="uncertaintyDb">Half the interval that holds the true value in 95 % of the cases.</param>
    /// <param name="toleranceDb">Largest difference that passed.</param>
    public static TrimSet Set(string name, string source, IEnumerable<double> trimDb, IEnumerable<double> uncertaintyDb, double toleranceDb) => new()
    {
        Name = name,
        Source = source,
        // Adding zero turns -0 into 0.
        Db = [.. trimDb.Select(db => Math.Round(db, TrimDigits) + 0.0)],
        UncertaintyDb = [.. uncertaintyDb.Select(db => Math.Round(db, UncertaintyDigits))],
        ToleranceDb = toleranceDb,
    };

    /// <summary>The session with a set in one of its arrays, in the place of an older one of that name.</summary>
    /// <param name="session">The session.</param>
    /// <param name="arrayId">The array.</param>
    /// <param name="set">The set.</param>
    /// <param name="isActive">Use it at once where no other set is in use.</param>
    /// <param name="entry">What the history says of it.</param>
    public static SessionDocument WithTrims(this SessionDocument session, string arrayId, TrimSet set, bool isActive, HistoryEntry entry) => session with
    {
        Arrays = [.. session.Arrays.Select(a => a.Id != arrayId ? a : a with
        {
            TrimSets = [.. a.TrimSets.Where(t => t.Name != set.Name), set],
            ActiveTrim = a.ActiveTrim ?? (isActive ? set.Name : null),
        })],
        History = [.. session.History, entry],
    };
}
