using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using CaptureProc.Analysis.Clicks;
using CaptureProc.Cli.Frame;
using CaptureProc.Session;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary>Shows what was measured: a table for people, the session's own members for programs.</summary>
internal static class MeasureReport
{
    /// <returns>The exit code: 1 where a spot is missing or too uncertain to use.</returns>
    public static int Show(Desk desk, SessionDocument session, ArrayEntry array, Measured measured)
    {
        var heard = session.HeardBy(array);
        if (!desk.IsJson)
            ShowTables(desk, heard, measured);
        if (!session.IsMain(array))
            desk.Say($"against array '{array.Id}'; what was measured against array '{session.MainArray().Id}' stays");
        var isFine = true;
        foreach (var spot in heard.Spots)
        {
            var result = measured.Spots.FirstOrDefault(s => s.Id == spot.Id);
            var isUnsure = spot.Delay is not { Confidence: >= SpotJudgement.Sure } || spot.Polarity is null || result is { DelaySamples: null };
            isFine &= !isUnsure;
            // A session keeps a note beside a delay; of one that was never measured against another array only the result knows why.
            if ((spot.Delay is null ? result?.Note ?? spot.Note : spot.Note) is { } note && isUnsure)
                desk.Warn($"{spot.Id}: {note}");
            else if (spot.Note is { } remark)
                desk.Say($"{spot.Id}: {remark}");
        }
        Remark(desk, array, measured);
        if (measured.Stage is { } stage)
            isFine &= StageReport.Tell(desk, stage);
        desk.Show(new JsonObject
        {
            ["array"] = array.Id,
            ["clicks"] = Part(heard, "clicks"),
            ["spots"] = Part(session, "spots"),
            ["room"] = measured.Room is null ? null : Part(session, "room"),
            ["clapsOfNoSpot"] = measured.ClapsOfNoSpot,
            ["deadSpots"] = new JsonArray([.. measured.Deaf.Keys.Select(id => (JsonNode)id)]),
            ["stage"] = measured.Stage is null ? null : Part(session, "stage"),
            ["warnings"] = desk.WarningsAsJson(),
        });
        return isFine ? Desk.Done : Desk.NeedsAttention;
    }

    // What the figures do not say by themselves.
    private static void Remark(Desk desk, ArrayEntry array, Measured measured)
    {
        if (measured.ClapsOfNoSpot is var strange and > 0)
            desk.Warn($"{strange} of {measured.Clicks!.Count} claps {(strange == 1 ? "belongs" : "belong")} to no spot of the session: either a spot is missing in it, or somebody clapped elsewhere");
        if (array.Patch is null)
            desk.Warn($"'patch' was never run on array '{array.Id}': exchanged or inverted capsules would turn every direction, and nothing here shows it");
        else if (!array.Patch.Ok)
            desk.Warn($"the patch of array '{array.Id}' was checked and is not right ({string.Join("; ", array.Patch.Problems)}), so directions are wrong until it is mended");
    }

    // The members exactly as the session file has them, whoever adds to them.
    private static JsonNode? Part(SessionDocument session, string name) => JsonNode.Parse(SessionText.Format(session))![name]?.DeepClone();

    private static void ShowTables(Desk desk, SessionDocument session, Measured measured)
    {
        if (measured.Clicks is { Count: > 0 } clicks)
        {
            var table = new Table().Border(TableBorder.Simple).AddColumns("clap at", "made at", "peak over noise", "direct over hall");
            foreach (var click in clicks)
                table.AddRow($"{Number(click.TimeSeconds, "0.000")} s", Markup.Escape(click.Spot ?? "no spot"),
                    Unit(click.SnrDb, "0.0", "dB"), Unit(click.DirectToReverberantDb, "+0.0;-0.0;0.0", "dB"));
            desk.Show(table);
        }
        var spots = new Table().Border(TableBorder.Simple)
            .AddColumns("spot", "delay, samples", "ms", "confidence", "polarity", "azimuth", "elevation", "distance", "gain to match");
        foreach (var spot in session.Spots)
            spots.AddRow(Markup.Escape(spot.Id),
                spot.Delay is { } d ? $"{Number(d.Samples, "0.000")} ± {Number(d.UncertaintySamples, "0.000")}" : "not measured",
                spot.Delay is { } ms ? Number(ms.Ms, "0.0000") : "",
                spot.Delay is { } c ? Number(c.Confidence, "0.000") : "",
                spot.Delay is null ? "" : spot.Polarity switch { 1 => "as the array", -1 => "inverted", _ => "not sure" },
                spot.Direction is { } a ? $"{Number(a.AzimuthDeg, "0.0")}° ± {Number(a.UncertaintyDeg ?? 0, "0.0")}" : "",
                spot.Direction is { } e ? $"{Number(e.ElevationDeg, "0.0")}°" : "",
                Unit(spot.DistanceM, "0.00", "m"), Unit(spot.GainDb, "+0.0;-0.0;0.0", "dB"));
        desk.Show(spots);
        if (measured.Stage is { } stage)
            StageReport.Show(desk, stage);
        if (measured.Room is { } room)
            desk.Show(InWords(room));
        foreach (var spot in session.Spots)
            if (spot.Clock is { } clock)
                desk.Show($"{spot.Id}: its clock runs {Number(clock.DriftPpm, "+0.0000;-0.0000;0.0000")} ± {Number(clock.UncertaintyPpm, "0.0000")} ppm against the array's; the delay is that at {Number(clock.AtSeconds, "0.000")} s, and 'align' follows it");
    }

    private static string InWords(RoomEntry room)
    {
        var early = room.EdtSeconds is { } edt ? $", early decay {Number(edt, "0.00")} s" : "";
        return room is { ReverberationSeconds: { } seconds, UncertaintySeconds: { } sigma }
            ? $"hall: reverberation {Number(seconds, "0.00")} ± {Number(sigma, "0.00")} s at mid frequencies{early}, from {room.Claps} claps where they were made (ISO 3382-1 asks for more places and an even source)"
            : $"hall: the background hides the reverberation time; ISO 3382-1 asks for claps 35 dB above it in each octave{early}";
    }

    private static string Unit(double? value, string format, string unit) => value is { } v ? $"{Number(v, format)} {unit}" : "";

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);
}
