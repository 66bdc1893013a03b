using CaptureProc.Session;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The trim sets that the plug-in can switch between: as recorded, and up to four of the session. Immutable.</summary>
/// <remarks>Thread: made on [main] or the shared worker, read on [audio].</remarks>
internal sealed class TrimTable
{
    public const int SetCount = 5;
    private const int Capsules = 4;

    public static TrimTable AsRecorded { get; } = new([], []);

    private readonly float[] db = new float[SetCount * Capsules];

    private TrimTable(IReadOnlyList<string> names, IReadOnlyList<IReadOnlyList<double>> sets)
    {
        Names = names;
        for (var set = 0; set < sets.Count; set++)
            for (var i = 0; i < Capsules; i++)
                db[(set + 1) * Capsules + i] = (float)sets[set][i];
    }

    /// <summary>Names of the session's sets, at most four.</summary>
    public IReadOnlyList<string> Names { get; }

    public static TrimTable Of(ArrayEntry array)
    {
        var sets = array.TrimSets.Where(s => s.Db.Count == Capsules).Take(SetCount - 1).ToArray();
        return new TrimTable([.. sets.Select(s => s.Name)], [.. sets.Select(s => s.Db)]);
    }

    /// <summary>dB to add to each capsule with a set; 0 is as recorded, and so is a set that is not there. [audio]</summary>
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
