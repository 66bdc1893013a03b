using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Cli.Frame;
using Spectre.Console;

namespace CaptureProc.Cli.Demo;

/// <summary>Measured beside true, as tables and as JSON.</summary>
internal static class DemoReport
{
    public static void Show(Desk desk, DemoVerdict verdict)
    {
        var spots = Table("Spot", "", "Delay, samples", "True", "Error", "±", "Sure", "Direction off", "±", "Metres / true", "Polarity", "Verdict");
        foreach (var spot in verdict.Spots)
        {
            var (measured, truth) = (spot.Measured, spot.True);
            spots.AddRow(Markup.Escape(measured.Id), spot.Oddity, Text(measured.Delay?.Samples, "0.000"), Text(truth.DelaySamples, "0.000"),
                Text(spot.DelayErrorSamples, "+0.000;-0.000;0.000"), Text(measured.Delay?.UncertaintySamples, "0.000"), Text(measured.Delay?.Confidence, "0.000"),
                Text(spot.DirectionErrorDeg, "0.0°"), Text(measured.Direction?.UncertaintyDeg, "0.0°"),
                $"{Text(measured.DistanceM, "0.00")} / {Text(truth.ArrayDistanceM, "0.00")}",
                $"{Sign(measured.Polarity)} / {Sign(truth.Polarity)}", spot.Fault ?? "within");
        }
        desk.Show(spots);

        var trims = Table("Capsule of main", "Gain error given, dB", "Trim found, dB", "Left over, dB", "Verdict");
        foreach (var trim in verdict.Trims)
            trims.AddRow(Text(trim.Channel, "0"), Text(trim.GainErrorDb, "+0.000;-0.000;0.000"), Text(trim.TrimDb, "+0.000;-0.000;0.000"),
                Text(trim.LeftOverDb, "+0.000;-0.000;0.000"), trim.IsWithin ? "within" : "off");
        desk.Show(trims);

        desk.Show(string.Create(CultureInfo.InvariantCulture,
            $"± is what the session states, Sure its confidence; Polarity is measured / true. Within means: delay within {SpotVerdict.DelayLimitSamples} samples and within three times what was stated, direction within {SpotVerdict.DirectionLimitDeg}°, polarity right, trims within {TrimVerdict.LimitDb} dB."));
        desk.Show(verdict.IsWithin ? "All within." : "Not all within.");
    }

    public static JsonObject Json(DemoVerdict verdict, string? folder) => new()
    {
        ["within"] = verdict.IsWithin,
        ["folder"] = folder,
        ["spots"] = new JsonArray([.. verdict.Spots.Select(spot => new JsonObject
        {
            ["spot"] = spot.Measured.Id,
            ["what"] = spot.Oddity,
            ["delaySamples"] = spot.Measured.Delay?.Samples,
            ["trueDelaySamples"] = spot.True.DelaySamples,
            ["errorSamples"] = spot.DelayErrorSamples,
            ["uncertaintySamples"] = spot.Measured.Delay?.UncertaintySamples,
            ["confidence"] = spot.Measured.Delay?.Confidence,
            ["directionErrorDeg"] = spot.DirectionErrorDeg,
            ["directionUncertaintyDeg"] = spot.Measured.Direction?.UncertaintyDeg,
            ["distanceM"] = spot.Measured.DistanceM,
            ["trueDistanceM"] = spot.True.ArrayDistanceM,
            ["polarity"] = spot.Measured.Polarity,
            ["truePolarity"] = spot.True.Polarity,
            ["within"] = spot.Fault is null,
            ["fault"] = spot.Fault,
        })]),
        ["trims"] = new JsonArray([.. verdict.Trims.Select(trim => new JsonObject
        {
            ["channel"] = trim.Channel,
            ["gainErrorDb"] = trim.GainErrorDb,
            ["trimDb"] = trim.TrimDb,
            ["within"] = trim.IsWithin,
        })]),
    };

    private static Table Table(params string[] columns)
    {
        var table = new Table().Border(TableBorder.Simple);
        for (var i = 0; i < columns.Length; i++)
            table.AddColumn(new TableColumn(columns[i]) { Alignment = i == 0 || columns[i] is "" or "Verdict" ? Justify.Left : Justify.Right, NoWrap = true });
        return table;
    }

    private static string Text(double? value, string format) => value?.ToString(format, CultureInfo.InvariantCulture) ?? "-";

    private static string Sign(int? polarity) => polarity switch { 1 => "+", -1 => "-", _ => "?" };
}
