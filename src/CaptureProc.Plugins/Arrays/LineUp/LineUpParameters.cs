using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>What hosts show of the line-up, behind the array's own parameters.</summary>
/// <remarks>
/// Ids, order and ranges live in saved projects: add at the end of the table, change nothing. What acts once (keep, write) is
/// no automation's business: see <see cref="Parameter.AsAct"/>.
/// </remarks>
internal static class LineUpParameters
{
    public const int On = 35, Reference = 36, Tolerance = 37, Keep = 38, Write = 39, TrimsFrom = 40;
    public const int State = 41, FedNow = 42, Difference = 43, Uncertainty = 47, Verdict = 51, Outcome = 55, KeptTrim = 56;

    /// <summary>The read-only ones are these.</summary>
    public const int FirstShown = State, ShownCount = KeptTrim + Channels - FirstShown;

    /// <summary>Values of <see cref="TrimsFrom"/>.</summary>
    public const int FromTrimSet = 0, FromKeptLineUp = 1;

    public const int Channels = 4;

    // What lies further below the loudest channel is taken for crosstalk, so no difference is larger.
    public const double LargestDifferenceDb = 30;

    public static IEnumerable<Parameter> All(uint id)
    {
        yield return Parameter.Switch(id++, "Line-up");
        yield return Parameter.List(id++, "Line-up reference", ["Channel 1", "Channel 2", "Channel 3", "Channel 4"]);
        yield return Parameter.Range(id++, "Line-up tolerance", "dB", 0.01, 3, 0.1, 2);
        yield return Parameter.Switch(id++, "Keep line-up").AsAct();
        yield return Parameter.Switch(id++, "Write line-up to session").AsAct();
        yield return Parameter.List(id++, "Trims from", ["Trim set", "Kept line-up"]);
        yield return Shown(id++, "Line-up state", LineUpWords.States);
        yield return Shown(id++, "Line-up feed", LineUpWords.Feeds);
        for (var i = 1; i <= Channels; i++)
            yield return Parameter.Meter(id++, $"Line-up difference {i}", "dB", -LargestDifferenceDb, LargestDifferenceDb, 3, resting: 0);
        for (var i = 1; i <= Channels; i++)
            yield return Parameter.Meter(id++, $"Line-up uncertainty {i}", "dB", 0, LargestDifferenceDb, 3);
        for (var i = 1; i <= Channels; i++)
            yield return Shown(id++, $"Line-up verdict {i}", LineUpWords.Verdicts);
        yield return Shown(id++, "Line-up kept", LineUpWords.Outcomes);
        for (var i = 1; i <= Channels; i++)
            yield return Parameter.Meter(id++, $"Kept trim {i}", "dB", -LargestDifferenceDb, LargestDifferenceDb, 3, resting: 0);
    }

    public static Parameter Shown(uint id, string title, IReadOnlyList<string> names) =>
        Parameter.List(id, title, names) with { Flags = ParameterFlags.IsReadOnly | ParameterFlags.IsList };
}
