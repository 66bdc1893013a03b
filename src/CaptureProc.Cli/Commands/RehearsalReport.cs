using System.Text.Json.Nodes;
using CaptureProc.Analysis.Placement;
using CaptureProc.Cli.Frame;
using Spectre.Console;
using static System.FormattableString;

namespace CaptureProc.Cli.Commands;

/// <summary>What the rehearsal said, as words, a table and JSON.</summary>
internal static class RehearsalReport
{
    public static void Show(Desk desk, RehearsalPlan plan)
    {
        var result = plan.Result;
        if (plan.MissingSpots.Count > 0)
            desk.Warn($"the spots cannot tell the direct sound from the hall ({string.Join("; ", plan.MissingSpots)}), so the array alone has to; run 'captureproc measure' on a slate and record the spots with the array for a ratio to within a dB or so");
        desk.Show(Invariant($"{plan.FromSeconds:0.0} to {plan.ToSeconds:0.0} s of music in array '{plan.ArrayId}', {result.LevelDbfs:0.0} dBFS."));
        desk.Show(Invariant($"Ahead over behind: {result.FrontOverBackDb:+0.0;-0.0} dB (cardioids forward and backward). Diffuseness: {result.Diffuseness ?? 0:0.00} (0 one direction at a time, 1 from all round)."));
        desk.Show(Invariant($"Direct sound over the hall in W: {plan.Advice.RatioDb:+0.0;-0.0} ± {result.Interval95Db:0.0} dB (95 %), from {(result.IsThroughSpots ? "the players' spots" : "the array alone")}. Hall is everything later than the direct sound."));
        desk.Show(Bands(result));
        if (result.Completeness is { Probability: > 0.5 } part)
            desk.Warn(Invariant($"the array hears {part.MissingDb:0} dB more direct sound than the spots bring, so somebody plays who has no spot, or a spot's gain is wrong; {(part.IsArrayBetter ? "the array alone tells the ratio" : "the interval is as wide as that")}"));
        if (Slate(plan) is { } slate)
            desk.Show(slate);
        if (plan.IsSurrounded)
            desk.Show("Players sit behind the array as well, so ahead over behind says nothing about the hall.");
        foreach (var line in Words(plan))
        {
            if (plan.ExitCode == Desk.Done)
                desk.Show(line);
            else
                desk.Warn(line);
        }
        desk.Show(Json(plan, desk));
    }

    /// <summary>What to do, in words.</summary>
    private static IEnumerable<string> Words(RehearsalPlan plan)
    {
        var advice = plan.Advice;
        var goal = advice.WantedDb == 0 ? "for direct and hall to be equal" : Invariant($"for the direct sound to be {advice.WantedDb:+0.0;-0.0} dB over the hall");
        var balance = advice.RatioDb < 0 ? Invariant($"the hall outweighs the direct sound by {-advice.RatioDb:0.0} dB") : Invariant($"the direct sound outweighs the hall by {advice.RatioDb:0.0} dB");
        yield return advice.Move switch
        {
            PlacementMove.Closer => $"{balance}: move the array {HowFar(advice, "closer")} {goal}",
            PlacementMove.Farther => $"{balance}: the array may stand {HowFar(advice, "farther away")} {goal}",
            PlacementMove.Stay => $"{balance}: the array stands well, leave it",
            _ => Invariant($"{balance}, but only to within {plan.Result.Interval95Db:0} dB: too uncertain to move the array for it"),
        };
        if (plan.IsBehindLouder)
            yield return "what comes from behind is as loud as what comes from ahead: check that the array faces the players, and its mount in the session";
    }

    private static string HowFar(PlacementAdvice advice, string way) => advice is { DistanceM: { } now, WantedDistanceM: { } wanted }
        ? Invariant($"about {Math.Abs(now - wanted):0.0} m {way} (from {now:0.0} m to {wanted:0.0} m)")
        : Invariant($"{way}, at about {advice.Factor:0.00} times its distance,");

    private static Table Bands(RehearsalResult result)
    {
        var table = new Table().Border(TableBorder.Simple).AddColumns("octave, Hz", "direct share, %", "direct over hall, dB", "diffuseness");
        foreach (var band in result.Bands)
            table.AddRow(Invariant($"{band.Band.NominalHz:0}"), result.DirectShare(band) is { } share ? Invariant($"{100 * share:0}") : "-",
                RatioDb(result, band) is { } db ? Invariant($"{db:+0.0;-0.0}") : "-", band.Diffuseness is { } psi ? Invariant($"{psi:0.00}") : "-");
        return table;
    }

    private static string? Slate(RehearsalPlan plan)
    {
        var said = new List<string>();
        if (plan.SlateRatioDb is { } ratio)
            said.Add(Invariant($"direct over hall {ratio:+0.0;-0.0} dB (median of the claps)"));
        if (plan.Session.Room is { } room)
        {
            if (room.ReverberationSeconds is { } seconds)
                said.Add(Invariant($"reverberation time {seconds:0.00} s"));
            if (room.EdtSeconds is { } edt)
                said.Add(Invariant($"early decay time {edt:0.00} s"));
            if (room.C80Db is { } c80)
                said.Add(Invariant($"C80 {c80:+0.0;-0.0} dB"));
        }
        return said.Count == 0 ? null : $"The slate said: {string.Join(", ", said)}. Hands are no omnidirectional source; see ISO 3382-1.";
    }

    private static double? RatioDb(RehearsalResult result, BandResult band) => result.Powers(band) is { Direct: > 0, Rest: > 0 } p ? 10 * Math.Log10(p.Direct / p.Rest) : null;

    private static JsonObject Json(RehearsalPlan plan, Desk desk) => new()
    {
        ["array"] = plan.ArrayId,
        ["fromSeconds"] = Round(plan.FromSeconds, 3),
        ["toSeconds"] = Round(plan.ToSeconds, 3),
        ["levelDbfs"] = Round(plan.Result.LevelDbfs, 2),
        ["surrounded"] = plan.IsSurrounded,
        ["frontOverBackDb"] = Round(plan.Result.FrontOverBackDb, 2),
        ["diffuseness"] = Round(plan.Result.Diffuseness, 3),
        ["directToReverberantDb"] = Round(plan.Advice.RatioDb, 2),
        ["uncertaintyDb"] = Round(plan.Advice.UncertaintyDb, 2),
        ["interval95Db"] = new JsonArray(Round(plan.Advice.RatioDb - plan.Result.Interval95Db, 2), Round(plan.Advice.RatioDb + plan.Result.Interval95Db, 2)),
        ["toldBy"] = plan.Result.IsThroughSpots ? "spots" : "array",
        ["missingSpotsProbability"] = Round(plan.Result.Completeness?.Probability, 3),
        ["bands"] = new JsonArray(
        [
            .. plan.Result.Bands.Select(b => new JsonObject
            {
                ["frequencyHz"] = b.Band.NominalHz,
                ["directShare"] = Round(plan.Result.DirectShare(b), 3),
                ["directToReverberantDb"] = Round(RatioDb(plan.Result, b), 2),
                ["diffuseness"] = Round(b.Diffuseness, 3),
            }),
        ]),
        ["slate"] = new JsonObject
        {
            ["directToReverberantDb"] = Round(plan.SlateRatioDb, 1),
            ["reverberationSeconds"] = plan.Session.Room?.ReverberationSeconds,
            ["edtSeconds"] = plan.Session.Room?.EdtSeconds,
            ["c80Db"] = plan.Session.Room?.C80Db,
        },
        ["wantedDb"] = plan.Advice.WantedDb,
        ["distanceM"] = Round(plan.Advice.DistanceM, 2),
        ["distanceFactor"] = Round(plan.Advice.Factor, 3),
        ["wantedDistanceM"] = Round(plan.Advice.WantedDistanceM, 2),
        ["move"] = plan.Advice.Move switch
        {
            PlacementMove.Closer => "closer",
            PlacementMove.Farther => "farther",
            PlacementMove.Stay => "stay",
            _ => "unsure",
        },
        ["words"] = new JsonArray([.. Words(plan).Select(w => (JsonNode)w)]),
        ["warnings"] = desk.WarningsAsJson(),
    };

    private static double? Round(double? value, int digits) => value is { } number ? Math.Round(number, digits) : null;
}
