using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Analysis.LineUp;
using CaptureProc.Cli.Frame;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Session;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary>A line-up in words, as a table and as JSON.</summary>
internal static class LevelWords
{
    public static void Show(Desk desk, ArrayEntry array, LineUpReport report, string? storedAs)
    {
        if (desk.IsJson)
        {
            desk.Show(Json(desk, report, storedAs));
            return;
        }
        if (!report.IsRoom)
            desk.Show(Table(array, report));
        foreach (var channel in report.Channels)
            foreach (var problem in channel.Problems)
                desk.Show($"Channel {channel.Channel}: {problem}.");
        foreach (var problem in report.Problems)
            desk.Show($"{Capital(problem)}.");
        foreach (var note in report.Notes)
            desk.Show($"Note: {note}.");
        foreach (var line in Verdict(report))
            desk.Show(line);
        var untold = report.Channels.Where(c => report.HasTrims && !report.IsTold(c)).Select(c => c.Channel).ToList();
        if (untold.Count > 0)
            desk.Show(storedAs is null
                ? "No trim is known to the tolerance, nor surely out of it: none is stored."
                : $"Not told and therefore left as recorded: channel {string.Join(", ", untold)}.");
        desk.Show(storedAs is null ? "The session is unchanged." : $"Trims stored as '{storedAs}'.");
    }

    private static Table Table(ArrayEntry array, LineUpReport report)
    {
        var table = new Table().Border(TableBorder.Simple)
            .AddColumns("Channel", "Capsule", "Level dBFS", "Gain dB", "±95 %", "Trim dB", "Crest dB", "Slope dB/oct", "");
        foreach (var column in table.Columns.Skip(2).Take(6))
            column.Alignment = Justify.Right;
        for (var i = 0; i < report.Channels.Count; i++)
        {
            var c = report.Channels[i];
            var isMeasured = c.Gain.Way != LineUpWay.None;
            table.AddRow(
                c.Channel.ToString(CultureInfo.InvariantCulture), Markup.Escape(array.Capsules[i].Label),
                Number(c.LevelDbfs, "0.00"), isMeasured ? Number(c.Gain.Db, "+0.000;-0.000;0.000") : "", isMeasured ? Uncertainty(c, report) : "",
                isMeasured ? Number(c.TrimDb, "+0.000;-0.000;0.000") : "", Number(c.CrestDb, "0.0"), Number(c.SlopeDbPerOctave, "0.00"),
                c.Channel == report.Reference ? "reference" : isMeasured ? Word(c.Gain.Judge(report.ToleranceDb)) : "");
        }
        return table;
    }

    private static IEnumerable<string> Verdict(LineUpReport report)
    {
        if (!report.HasTrims)
            yield break;
        yield return report.Verdict switch
        {
            ToleranceVerdict.Within => FormattableString.Invariant($"All channels are within {report.ToleranceDb:0.###} dB of channel {report.Reference}."),
            ToleranceVerdict.Out => FormattableString.Invariant($"Out of tolerance ({report.ToleranceDb:0.###} dB): {Culprits(report)}. Turn the gains, or let the trims do it."),
            _ => FormattableString.Invariant($"It cannot be told yet whether all channels are within {report.ToleranceDb:0.###} dB."),
        };
        foreach (var c in report.Channels.Where(c => c.Gain.Way != LineUpWay.None && c.Gain.Judge(report.ToleranceDb) == ToleranceVerdict.CannotTell))
            yield return FormattableString.Invariant($"Channel {c.Channel}: {c.Gain.Db:+0.000;-0.000;0.000} ± {c.Gain.UncertaintyDb:0.000} dB; it would take about {c.Gain.SecondsNeeded(report.ToleranceDb):0} s to tell.");
        if (report.Channels.Any(c => c.Gain.Way == LineUpWay.Diffuse))
            yield break;
        yield return report.Channels.Any(c => c.Gain.Way == LineUpWay.InTurn)
            ? "Measured in turn, with noise that does not repeat: 'captureproc signal pink' writes noise that does, and leaves a tenth of the uncertainty."
            : report.Channels.Any(c => c.Gain.Way == LineUpWay.InTurnSameNoise) ? "Measured in turn, on the same stretch of a noise that repeats." : "Measured on one noise, heard by all channels at once.";
    }

    private static string Culprits(LineUpReport report) => string.Join(", ", report.Channels
        .Where(c => c.Gain.Judge(report.ToleranceDb) == ToleranceVerdict.Out)
        .Select(c => FormattableString.Invariant($"channel {c.Channel} by {c.Gain.Db:+0.00;-0.00;0.00} dB")));

    private static JsonObject Json(Desk desk, LineUpReport report, string? storedAs) => new()
    {
        ["within"] = report.Verdict == ToleranceVerdict.Within,
        ["verdict"] = Word(report.Verdict),
        ["toleranceDb"] = report.ToleranceDb,
        ["reference"] = report.Reference,
        ["room"] = report.IsRoom,
        ["channels"] = new JsonArray([.. report.Channels.Select(c =>
        {
            var channel = Json(c, report);
            channel["told"] = report.HasTrims && report.IsTold(c);
            return channel;
        })]),
        ["problems"] = new JsonArray([.. report.Problems.Select(p => (JsonNode)p)]),
        ["notes"] = new JsonArray([.. report.Notes.Select(n => (JsonNode)n)]),
        ["stored"] = storedAs,
        ["warnings"] = desk.WarningsAsJson(),
    };

    private static JsonObject Json(ChannelLineUp c, LineUpReport report)
    {
        var toleranceDb = report.ToleranceDb;
        var isMeasured = c.Gain.Way != LineUpWay.None;
        return new JsonObject
        {
            ["channel"] = c.Channel,
            ["levelDb"] = Round(c.LevelDbfs, 3),
            ["gainErrorDb"] = isMeasured ? Round(c.Gain.Db, 5) : null,
            ["trimDb"] = isMeasured ? Round(c.TrimDb, 5) : null,
            ["uncertaintyDb"] = isMeasured ? Round(report.UncertaintyDb(c), 6) : null,
            ["crestDb"] = Round(c.CrestDb, 2),
            ["slopeDbPerOctave"] = Round(c.SlopeDbPerOctave, 3),
            ["problem"] = c.Problems.Count == 0 ? null : string.Join("; ", c.Problems),
            ["verdict"] = isMeasured ? Word(c.Gain.Judge(toleranceDb)) : null,
            ["secondsNeeded"] = isMeasured && c.Gain.Judge(toleranceDb) == ToleranceVerdict.CannotTell ? Round(c.Gain.SecondsNeeded(toleranceDb), 1) : null,
            ["way"] = c.Gain.Way switch
            {
                LineUpWay.AtOnce => "at once",
                LineUpWay.InTurn => "in turn",
                LineUpWay.InTurnSameNoise => "in turn, same noise",
                LineUpWay.Diffuse => "diffuse field",
                _ => null,
            },
        };
    }

    private static string Word(ToleranceVerdict verdict) => verdict switch
    {
        ToleranceVerdict.Within => "within",
        ToleranceVerdict.Out => "out",
        _ => "cannot tell",
    };

    // Three decimals are what a gain can be set to; what is smaller is said to be smaller.
    private static string Uncertainty(ChannelLineUp c, LineUpReport report) => c.Channel == report.Reference ? ""
        : c.Gain.UncertaintyDb < 0.0005 ? "< 0.001" : Number(c.Gain.UncertaintyDb, "0.000");

    private static string Number(double value, string format) => double.IsFinite(value) ? value.ToString(format, CultureInfo.InvariantCulture) : "";

    private static JsonNode? Round(double value, int digits) => double.IsFinite(value) ? Math.Round(value, digits) + 0.0 : null;

    private static string Capital(string text) => char.ToUpperInvariant(text[0]) + text[1..];
}
