using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays;

/// <summary>What hosts show of the comparison of two sets of trims, behind all else of the array.</summary>
/// <remarks>Ids, order and ranges live in saved projects: add at the end of the table, change nothing.</remarks>
internal static class CompareParameters
{
    public const int First = 61, Second = 62, Compare = 63, EqualLevel = 64, Added = 65;

    // Two sets that differ by more are two different microphones.
    private const double LargestAddedDb = 30;

    public static IEnumerable<Parameter> All(uint id)
    {
        // At rest the first set plays, and that is what "Trim set" and "Trims from" say: as in projects from before there was a second.
        yield return Parameter.NamedByEffect(id++, "First set", TrimTable.ComparedCount);
        yield return Parameter.NamedByEffect(id++, "Second set", TrimTable.ComparedCount, TrimTable.Recorded);
        yield return Parameter.List(id++, "Compare", ["First set", "Second set"]);
        yield return Parameter.Switch(id++, "Compare at equal level", on: true);
        yield return Parameter.Meter(id++, "Equal level adds", "dB", -LargestAddedDb, LargestAddedDb, 2, resting: 0);
    }
}
