using System.Globalization;
using CaptureProc.Analysis.Stage;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Session;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary>The stage in words and as a table.</summary>
internal static class StageReport
{
    /// <summary>Warns of what does not close.</summary>
    /// <returns>Whether all does.</returns>
    public static bool Tell(Desk desk, StageEntry stage)
    {
        foreach (var concern in stage.Concerns)
            desk.Warn(concern);
        return stage.Concerns.Count == 0;
    }

    public static void Show(Desk desk, StageEntry stage)
    {
        var table = new Table().Border(TableBorder.Simple)
            .AddColumns("stage", "ahead", "left", "up", "95 % on the floor", "its clap from it", "claps of others heard");
        foreach (var spot in stage.Spots)
            table.AddRow(Markup.Escape(spot.Id), Metres(spot.PositionM[0]), Metres(spot.PositionM[1]), Height(spot.PositionM[2], spot.CovarianceM2[5]),
                $"± {Number(HalfAxis95M(spot.CovarianceM2), "0.00")} m",
                stage.Claps.FirstOrDefault(c => c.Spot == spot.Id) is { } clap ? $"{Number((Place(clap.PositionM) - Place(spot.PositionM)).Length, "0.00")} m" : "no clap",
                spot.OtherClaps.ToString(CultureInfo.InvariantCulture));
        foreach (var array in stage.Arrays)
            table.AddRow($"array {Markup.Escape(array.Id)}", Metres(array.PositionM[0]), Metres(array.PositionM[1]), Height(array.PositionM[2], array.CovarianceM2[5]),
                $"± {Number(HalfAxis95M(array.CovarianceM2), "0.00")} m", "", $"turned by {Number(array.TurnDeg, "0.0")}° ± {Number(array.TurnUncertaintyDeg, "0.0")}");
        if (stage.Spots.Count + stage.Arrays.Count > 0)
            desk.Show(table);
        var left = stage.Closures.Count(c => !c.Used);
        desk.Show(stage.Closures.Count == 0 ? "stage: nothing to close"
            : left == 0 ? $"stage: all {stage.Closures.Count} arrivals close"
            : $"stage: {stage.Closures.Count - left} of {stage.Closures.Count} arrivals close; left out: {string.Join(", ", stage.Closures.Where(c => !c.Used).Select(c => $"{Number(c.TimeSeconds, "0.000")} s at {c.Microphone} ({Number(c.ResidualMs, "+0.0;-0.0")} ms)"))}");
        if (stage.SpeedOfSoundUncertainty is { } sigma)
            desk.Show($"speed of sound by the tape: {Number(stage.SpeedOfSound, "0.0")} ± {Number(sigma, "0.0")} m/s, that is {Number(stage.TemperatureC ?? 0, "0.0")} ± {Number(stage.TemperatureUncertaintyC ?? 0, "0.0")} °C");
    }

    private static string Metres(double m) => $"{Number(m, "+0.00;-0.00;0.00")} m";

    private static string Height(double m, double variance) => $"{Metres(m)} ± {Number(1.96 * Math.Sqrt(variance), "0.00")}";

    private static double HalfAxis95M(IReadOnlyList<double> covariance) => Math.Sqrt(Ellipse.ChiSquare95 * Ellipse.Of(covariance[0], covariance[1], covariance[3]).LongVariance);

    private static Vector3D Place(IReadOnlyList<double> p) => new(p[0], p[1], p[2]);

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);
}
