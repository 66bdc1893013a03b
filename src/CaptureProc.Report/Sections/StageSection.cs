using System.Text;
using CaptureProc.Analysis.Stage;
using CaptureProc.Report.Page;
using CaptureProc.Report.Plots;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Where everybody sits, and whom every microphone hears.</summary>
internal static class StageSection
{
    public static ReportSection Compose(SessionDocument session)
    {
        if (session.Stage is not { Spots.Count: > 0 } stage)
            return new ReportSection("stage", "The stage",
                ReportSection.Missing("No places are known yet; they come with the slate from <code>captureproc measure</code>, from five spots on with certainty."));
        var body = new StringBuilder();
        foreach (var concern in stage.Concerns)
            body.Append(ReportSection.Paragraph($"<b>Does not close:</b> {Text(concern)}."));
        body.Append(ReportSection.Figure(StagePlot.DrawAbove(stage, session, CriticalDistanceM(session)),
            "From above, to scale, straight ahead at the top. Dots: microphones; hollow: nobody clapped there. Crosses: claps. Ellipses hold the true place in 95 of 100 cases. Dashed: the direction that the array states."));
        body.Append(ReportSection.Figure(StagePlot.DrawSide(stage, session), "From the right side, straight ahead at the right. Heights of spots are told worse than their places on the floor."));
        body.Append(Places(stage, session));
        if (stage.Bleed.Count > 0)
            body.Append("<h3>Whom every microphone hears</h3>\n").Append(Bleed(stage, session));
        return new ReportSection("stage", "The stage", body.ToString());
    }

    private static string Places(StageEntry stage, SessionDocument session)
    {
        var table = new HtmlTable("Spot", "#Ahead", "#Left", "#Up", "#95 % on the floor", "Its clap", "#Claps of others");
        foreach (var spot in stage.Spots)
            table.Row(Text(spot.Id), Metres(spot.PositionM[0]), Metres(spot.PositionM[1]), $"{Metres(spot.PositionM[2])} ±{Number(1.96 * Math.Sqrt(spot.CovarianceM2[5]), 2)}",
                $"±{Number(HalfAxis95M(spot.CovarianceM2), 2)} m", Clap(stage, spot, session), Number(spot.OtherClaps));
        foreach (var array in stage.Arrays)
            table.Row($"array {Text(array.Id)}", Metres(array.PositionM[0]), Metres(array.PositionM[1]), $"{Metres(array.PositionM[2])} ±{Number(1.96 * Math.Sqrt(array.CovarianceM2[5]), 2)}",
                $"±{Number(HalfAxis95M(array.CovarianceM2), 2)} m", array.Note is null ? "as mounted" : $"<b>{Text(array.Note)}</b>", None);
        var tape = stage.SpeedOfSoundUncertainty is { } sigma
            ? $" By the taped distance the speed of sound is {Number(stage.SpeedOfSound, 1)} ± {Number(sigma, 1)} m/s, that is {Number(stage.TemperatureC, 1)} ± {Number(stage.TemperatureUncertaintyC, 1)} °C."
            : "";
        return table + ReportSection.Paragraph($"<span class=\"note\">Metres from array {Text(stage.Array)}, at {Number(stage.SpeedOfSound, 1)} m/s.{tape}</span>");
    }

    private static string Clap(StageEntry stage, StageSpot spot, SessionDocument session)
    {
        if (stage.Claps.FirstOrDefault(c => c.Spot == spot.Id) is { } clap)
            return $"{Number(Math.Sqrt(clap.PositionM.Zip(spot.PositionM, (a, b) => (a - b) * (a - b)).Sum()), 2)} m from it";
        return session.Spots.FirstOrDefault(s => s.Id == spot.Id)?.Delay is { Source: StageMeasurement.Source } ? "none; delay from its place" : "none";
    }

    private static string Bleed(StageEntry stage, SessionDocument session)
    {
        string[] players = [.. session.Spots.Select(s => s.Id).Where(id => stage.Bleed.Any(b => b.Player == id))];
        string[] microphones = [.. session.Spots.Select(s => s.Id).Where(id => stage.Bleed.Any(b => b.Microphone == id) || players.Contains(id)), .. session.Arrays.Select(a => a.Id).Where(id => stage.Bleed.Any(b => b.Microphone == id) && session.Spots.All(s => s.Id != id))];
        var body = new StringBuilder(ReportSection.Figure(BleedPlot.Draw(players, microphones, stage.Bleed),
            "Rows: players, columns: microphones. Level of the direct sound over that at the player's own spot, and how much later it comes, both as recorded."));
        var combs = Combing.Of(stage.Bleed).Take(8).ToList();
        if (combs.Count == 0)
            return body.Append(ReportSection.Paragraph("No player reaches another's spot loud enough to comb in the mix.")).ToString();
        var table = new HtmlTable("Player", "also in", "#Level there", "#Apart in the mix", "#First notch", "#Ripple");
        foreach (var comb in combs)
            table.Row(Text(comb.Player), Text(comb.Microphone), $"{Signed(comb.LevelDb, 1)} dB", $"{Signed(comb.ApartMs, 2)} ms", $"{Number(comb.FirstNotchHz, 0)} Hz", $"{Number(comb.RippleDb, 1)} dB");
        return body.Append("<h3>Spots that comb against each other</h3>\n").Append(table)
            .Append(ReportSection.Paragraph("<span class=\"note\">Both spots lined up and mixed with equal gain: the player sounds twice, that far apart. Less of the other spot, or turning it away, makes the ripple smaller.</span>")).ToString();
    }

    /// <summary>The median of what the claps say; null where none does.</summary>
    private static double? CriticalDistanceM(SessionDocument session)
    {
        double[] all = [.. session.Spots.Where(s => s.DistanceM > 0).SelectMany(s => session.Clicks.Where(c => c.Spot == s.Id && c.DirectToReverberantDb is not null)
            .Select(c => new PlacementReading(s.DistanceM!.Value, c.DirectToReverberantDb!.Value).CriticalDistanceM)).Order()];
        return all.Length > 0 ? all[all.Length / 2] : null;
    }

    private static double HalfAxis95M(IReadOnlyList<double> covariance) => Math.Sqrt(Ellipse.ChiSquare95 * Ellipse.Of(covariance[0], covariance[1], covariance[3]).LongVariance);

    private static string Metres(double m) => $"{Signed(m, 2)} m";
}
