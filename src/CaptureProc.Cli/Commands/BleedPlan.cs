using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Analysis.Placement;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;

namespace CaptureProc.Cli.Commands;

/// <summary>Which spot to turn or move so that it hears less of the others, from the stage of the last slate.</summary>
internal sealed record BleedPlan(StageBleed Bleed, BleedAdvice Advice)
{
    /// <summary>Fainter than this nobody hears it beside the own player.</summary>
    private const double LeastDb = -20;

    private const int MostLines = 8;

    /// <summary>The loudest first.</summary>
    public static IReadOnlyList<BleedPlan> Of(SessionDocument session, FirstOrderPattern pattern)
    {
        if (session.Stage is not { } stage)
            return [];
        var plans = new List<BleedPlan>();
        foreach (var bleed in stage.Bleed.Where(b => b.LevelDb >= LeastDb).OrderByDescending(b => b.LevelDb).Take(MostLines))
            if (stage.Spots.FirstOrDefault(s => s.Id == bleed.Microphone) is { } spot && Clap(stage, bleed.Microphone) is { } own && Clap(stage, bleed.Player) is { } other)
                plans.Add(new BleedPlan(bleed, BleedAdvice.Of(Place(spot.PositionM), own, other, pattern)));
        return plans;
    }

    public static void Show(Desk desk, IReadOnlyList<BleedPlan> plans)
    {
        foreach (var (bleed, advice) in plans)
        {
            var turn = advice.TurnFallDb >= 1 ? FormattableString.Invariant($"turned {advice.TurnDeg:0}° away from it {advice.TurnFallDb:0.0} dB less, ") : "turning helps little, ";
            desk.Show($"{bleed.Microphone} hears {bleed.Player} at {Number(bleed.LevelDb ?? 0, "+0.0;-0.0")} dB, {Number(bleed.LaterMs, "+0.0;-0.0")} ms after its own spot: {turn}" + FormattableString.Invariant($"at {advice.NearerM:0.00} m from its own player {advice.NearerFallDb:0.0} dB less"));
        }
    }

    public static JsonArray Json(IReadOnlyList<BleedPlan> plans) => new([.. plans.Select(p => new JsonObject
    {
        ["microphone"] = p.Bleed.Microphone,
        ["player"] = p.Bleed.Player,
        ["levelDb"] = p.Bleed.LevelDb,
        ["laterMs"] = p.Bleed.LaterMs,
        ["turnDeg"] = Math.Round(p.Advice.TurnDeg),
        ["turnFallDb"] = Math.Round(p.Advice.TurnFallDb, 1),
        ["nearerM"] = Math.Round(p.Advice.NearerM, 2),
        ["nearerFallDb"] = Math.Round(p.Advice.NearerFallDb, 1),
    })]);

    private static Vector3D? Clap(StageEntry stage, string spot) => stage.Claps.FirstOrDefault(c => c.Spot == spot) is { } clap ? Place(clap.PositionM) : null;

    private static Vector3D Place(IReadOnlyList<double> p) => new(p[0], p[1], p[2]);

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);
}
