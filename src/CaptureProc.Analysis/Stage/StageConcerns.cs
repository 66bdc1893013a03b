using System.Globalization;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Analysis.Stage;

/// <summary>What somebody has to look at because it does not close, one line each, in words.</summary>
internal sealed class StageConcerns(StageNames names, IReadOnlyList<HeardClap> claps, StageResult stage)
{
    /// <summary>Hands above the array by more than this: who hangs it so low?</summary>
    private const double HandsAboveM = 0.4;

    private readonly List<string> lines = [];

    public IReadOnlyList<string> Say(IReadOnlyDictionary<string, StagePlace> before)
    {
        Arrivals();
        Owners();
        Arrays();
        Moved(before);
        return lines;
    }

    private void Arrivals()
    {
        foreach (var microphone in stage.Times.Where(t => !t.IsUsed).GroupBy(t => t.Microphone).OrderBy(g => g.Key))
        {
            var heard = stage.Times.Count(t => t.Microphone == microphone.Key);
            double[] late = [.. microphone.Select(t => 1000 * t.ResidualSeconds).Order()];
            if (late.Length >= 4 && late.Length > 0.5 * heard && late[^1] - late[0] < 0.4)
                Add($"'{names.Of(microphone.Key)}' hears {late.Length} of {heard} claps {late[late.Length / 2]:+0.0;-0.0} ms off, always alike: it has a delay of its own (a radio link, a converter)");
            else if (late.Length >= 4 && late.Length > 0.5 * heard)
                Add($"'{names.Of(microphone.Key)}' contradicts the others at {late.Length} of {heard} claps: check which microphone is on its channel, and whether it was moved");
            else
                foreach (var time in microphone.Where(IsGrave))
                    Add($"the clap at {claps[time.Clap].TimeSeconds:0.000} s ({Whose(time.Clap)}) reaches '{names.Of(time.Microphone)}' {1000 * time.ResidualSeconds:+0.0;-0.0} ms off what the others say: {Why(time)}; left out");
        }
        foreach (var direction in stage.Directions.Where(d => !d.IsUsed && AreEnough(d.Clap) && stage.Times.Any(t => t.Clap == d.Clap && t.Microphone == d.Array && t.IsUsed)))
            Add($"the clap at {claps[direction.Clap].TimeSeconds:0.000} s ({Whose(direction.Clap)}) comes to '{names.Arrays[direction.Array]}' from {direction.OffDeg:0.0}° beside where the others have it; left out");
    }

    /// <summary>A far spot hears a reflection now and then, and the others do without it; an array or the clap's own spot is what delays are made of.</summary>
    private bool IsGrave(StageResidual time) => AreEnough(time.Clap)
        && (time.Microphone < names.Arrays.Count || names.Spots[time.Microphone - names.Arrays.Count] == Whose(time.Clap));

    /// <summary>Fewer witnesses contradict each other, and nobody can say who is right.</summary>
    private bool AreEnough(int clap) => stage.Times.Count(t => t.Clap == clap && t.IsUsed) >= StageCheck.Enough;

    private static string Why(StageResidual time) => time.ResidualSeconds > 0 ? "a reflection was taken for the direct sound" : "something else was heard before it";

    private void Owners()
    {
        foreach (var clap in stage.Strayed)
            if (claps[clap].Owner is >= 0 and var owner && AreEnough(clap))
            {
                var place = stage.Claps[clap].PositionM;
                var nearest = Enumerable.Range(0, stage.Spots.Count).Where(s => stage.Spots[s].IsKnown).OrderBy(s => (stage.Spots[s].PositionM - place).Length).FirstOrDefault(owner);
                Add($"the clap at {claps[clap].TimeSeconds:0.000} s counts for '{names.Spots[owner]}' but was made {(stage.Spots[owner].PositionM - place).Length:0.0} m from it{Beside(nearest, owner, place)}");
            }
    }

    private string Beside(int nearest, int owner, Vector3D place) => nearest == owner ? ""
        : string.Create(CultureInfo.InvariantCulture, $", {(stage.Spots[nearest].PositionM - place).Length:0.0} m from '{names.Spots[nearest]}': is it that one's, or are the two channels exchanged?");

    private void Arrays()
    {
        for (var i = 0; i < stage.Arrays.Count; i++)
            if (stage.Arrays[i].InWords() is { } turn)
                Add($"array '{names.Arrays[i + 1]}' {turn}");
        double[] heights = [.. stage.Claps.Where(c => c.HeightSigmaM < 0.3).Select(c => c.PositionM.Z).Order()];
        if (heights.Length >= 3 && heights[heights.Length / 2] > HandsAboveM)
            Add($"the claps lie {heights[heights.Length / 2]:0.0} m above array '{names.Arrays[0]}': does it hang head down? then say so with its mount (roll 180°), and left and right are right again");
    }

    /// <summary>Against an earlier slate of the session: channels that were exchanged since, microphones that were moved.</summary>
    private void Moved(IReadOnlyDictionary<string, StagePlace> before)
    {
        var both = Enumerable.Range(0, names.Spots.Count).Where(s => stage.Spots[s].IsKnown && before.TryGetValue(names.Spots[s], out var old) && old.IsKnown).ToList();
        var moved = both.Where(s => IsApart(stage.Spots[s], before[names.Spots[s]])).ToList();
        // Where most have moved, it was the array.
        if (both.Count < 3 || moved.Count > both.Count / 2 + 1)
        {
            if (both.Count >= 3)
                Add($"{moved.Count} of {both.Count} spots stand elsewhere than in the earlier slate: the array '{names.Arrays[0]}' was moved, or many channels are exchanged");
            return;
        }
        foreach (var spot in moved)
        {
            var at = moved.FirstOrDefault(o => o != spot && !IsApart(stage.Spots[spot], before[names.Spots[o]]), -1);
            if (at >= 0)
                Add($"'{names.Spots[spot]}' stands where '{names.Spots[at]}' stood in the earlier slate: their channels are exchanged");
            else
                Add($"'{names.Spots[spot]}' stands {(stage.Spots[spot].PositionM - before[names.Spots[spot]].PositionM).Length:0.0} m from its place in the earlier slate");
        }
    }

    private static bool IsApart(StagePlace a, StagePlace b)
    {
        var way = a.PositionM - b.PositionM;
        // Heights are told badly, and mirror; the floor decides.
        var onFloor = way with { Z = 0 };
        var unit = onFloor.Normalised();
        return onFloor.Length > Math.Max(0.35, 4 * Math.Sqrt(a.VarianceAlong(unit) + b.VarianceAlong(unit)));
    }

    private string Whose(int clap) => claps[clap].Owner is >= 0 and var owner ? names.Spots[owner] : "no spot's";

    private void Add(FormattableString line) => lines.Add(line.ToString(CultureInfo.InvariantCulture));
}
