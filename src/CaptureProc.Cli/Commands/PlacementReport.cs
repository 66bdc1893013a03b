using System.Globalization;
using System.Text.Json.Nodes;
using CaptureProc.Analysis.Placement;
using CaptureProc.Cli.Frame;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary>A placement plan as tables and as JSON.</summary>
internal static class PlacementReport
{
    public static void Show(Desk desk, PlacementPlan plan)
    {
        var room = plan.Room;
        desk.Show(Invariant($"Hall of {room.VolumeM3:0.#} m³, {room.ReverberationSeconds:0.##} s, {plan.TemperatureC:0.#} °C, speed of sound {plan.SpeedOfSoundMps:0.0} m/s; the figures hold above {room.SchroederFrequencyHz:0} Hz."));
        desk.Show(Invariant($"Critical distance: {room.CriticalDistanceM(FirstOrderPattern.Omni):0.00} m for an omni, so for the array's W; {room.CriticalDistanceM(FirstOrderPattern.Cardioid):0.00} m for a cardioid taken out of the array; {room.CriticalDistanceM(plan.SpotPattern):0.00} m for a spot of pattern {plan.SpotPattern.Alpha:0.##}."));

        if (plan.Arrays.Count > 0)
        {
            var table = Table("Array from source, m", "Direct over hall: W, dB", "Cardioid, dB", "Rise of X, Y, Z at 50 Hz, dB");
            foreach (var m in plan.Arrays)
                table.AddRow(Invariant($"{m:0.00}"), Db(room.DirectToReverberantDb(FirstOrderPattern.Omni, m)),
                    Db(room.DirectToReverberantDb(FirstOrderPattern.Cardioid, m)),
                    Db(Proximity.RiseDb(FirstOrderPattern.FigureEight, m, 50, plan.SpeedOfSoundMps)));
            desk.Show(table);
        }
        if (plan.Spots.Count > 0)
        {
            var table = Table(["Spot from source, m", "Direct over hall, dB", .. PlacementPlan.RiseFrequenciesHz.Select(hz => Invariant($"Rise at {hz:0} Hz, dB")), "3 dB at, Hz"]);
            foreach (var m in plan.Spots)
                table.AddRow([Invariant($"{m:0.00}"), Db(room.DirectToReverberantDb(plan.SpotPattern, m)), .. Rises(plan, m).Select(Db),
                    Invariant($"{Proximity.FrequencyOfRiseHz(plan.SpotPattern, m, 3, plan.SpeedOfSoundMps):0}")]);
            desk.Show(table);
        }
        if (plan.Arrays.Count > 0 && plan.Spots.Count > 0)
            desk.Show(DelayTable(plan));
        if (plan.Measured.Count > 0)
            desk.Show(MeasuredTable(plan));
        BleedPlan.Show(desk, plan.Bleed);
    }

    public static JsonObject Json(PlacementPlan plan)
    {
        var room = plan.Room;
        return new JsonObject
        {
            ["room"] = new JsonObject
            {
                ["volumeM3"] = room.VolumeM3,
                ["reverberationSeconds"] = room.ReverberationSeconds,
                ["temperatureC"] = plan.TemperatureC,
                ["speedOfSound"] = Round(plan.SpeedOfSoundMps),
                ["schroederHz"] = Round(room.SchroederFrequencyHz),
            },
            ["criticalDistanceM"] = new JsonObject
            {
                ["omni"] = Round(room.CriticalDistanceM(FirstOrderPattern.Omni)),
                ["cardioid"] = Round(room.CriticalDistanceM(FirstOrderPattern.Cardioid)),
                ["spot"] = Round(room.CriticalDistanceM(plan.SpotPattern)),
            },
            ["spotPattern"] = plan.SpotPattern.Alpha,
            ["arrays"] = new JsonArray([.. plan.Arrays.Select(m => Array(plan, m))]),
            ["spots"] = new JsonArray([.. plan.Spots.Select(m => Spot(plan, m))]),
            ["delays"] = new JsonArray([.. plan.Arrays.SelectMany(a => plan.Spots, (a, s) => Delay(plan, a, s))]),
            ["measured"] = new JsonArray([.. plan.Measured.Select(place => Measured(plan, place))]),
            ["bleed"] = BleedPlan.Json(plan.Bleed),
        };
    }

    private static Table DelayTable(PlacementPlan plan)
    {
        var table = Table(["Expected delay", .. plan.Spots.Select(m => Invariant($"spot at {m:0.00} m"))]);
        foreach (var arrayM in plan.Arrays)
            table.AddRow([Invariant($"array at {arrayM:0.00} m"), .. plan.Spots.Select(spotM =>
                Invariant($"{plan.DelaySamples(arrayM, spotM):0.0} samples, {1000 * plan.DelaySamples(arrayM, spotM) / plan.SampleRateHz:0.00} ms"))]);
        return table;
    }

    private static Table MeasuredTable(PlacementPlan plan)
    {
        var table = Table("Spot", "Source to array, m", "W, dB", "Source to spot, m", "Spot, dB", "Rise at 50 Hz, dB", "100 Hz, dB", "Delay, samples");
        foreach (var place in plan.Measured)
            table.AddRow(Markup.Escape(place.SpotId), Invariant($"{place.ArrayM:0.00}"), Db(plan.Room.DirectToReverberantDb(FirstOrderPattern.Omni, place.ArrayM)),
                place.SpotM is { } m ? Invariant($"{m:0.00}") : "-",
                place.SpotM is { } far ? Db(plan.Room.DirectToReverberantDb(plan.SpotPattern, far)) : "-",
                place.SpotM is { } low ? Db(Proximity.RiseDb(plan.SpotPattern, low, 50, plan.SpeedOfSoundMps)) : "-",
                place.SpotM is { } high ? Db(Proximity.RiseDb(plan.SpotPattern, high, 100, plan.SpeedOfSoundMps)) : "-",
                place.DelaySamples is { } samples ? Invariant($"{samples:0.00}") : "-");
        return table;
    }

    private static JsonObject Array(PlacementPlan plan, double distanceM) => new()
    {
        ["distanceM"] = distanceM,
        ["directToReverberantDb"] = Round(plan.Room.DirectToReverberantDb(FirstOrderPattern.Omni, distanceM)),
        ["cardioidDirectToReverberantDb"] = Round(plan.Room.DirectToReverberantDb(FirstOrderPattern.Cardioid, distanceM)),
        ["gradientRiseAt50HzDb"] = Round(Proximity.RiseDb(FirstOrderPattern.FigureEight, distanceM, 50, plan.SpeedOfSoundMps)),
    };

    private static JsonObject Spot(PlacementPlan plan, double distanceM) => new()
    {
        ["distanceM"] = distanceM,
        ["directToReverberantDb"] = Round(plan.Room.DirectToReverberantDb(plan.SpotPattern, distanceM)),
        ["proximityRise"] = new JsonArray([.. PlacementPlan.RiseFrequenciesHz.Zip(Rises(plan, distanceM), (hz, db) =>
            new JsonObject { ["frequencyHz"] = hz, ["riseDb"] = Round(db) })]),
        ["riseOf3DbAtHz"] = Round(Proximity.FrequencyOfRiseHz(plan.SpotPattern, distanceM, 3, plan.SpeedOfSoundMps)),
    };

    private static JsonObject Delay(PlacementPlan plan, double arrayM, double spotM) => new()
    {
        ["arrayDistanceM"] = arrayM,
        ["spotDistanceM"] = spotM,
        ["samples"] = Round(plan.DelaySamples(arrayM, spotM)),
        ["ms"] = Round(1000 * plan.DelaySamples(arrayM, spotM) / plan.SampleRateHz),
    };

    private static JsonObject Measured(PlacementPlan plan, MeasuredPlace place)
    {
        var node = place.SpotM is { } spotM ? Spot(plan, Round(spotM)) : new JsonObject { ["distanceM"] = null };
        node["spot"] = place.SpotId;
        node["arrayDistanceM"] = place.ArrayM;
        node["arrayDirectToReverberantDb"] = Round(plan.Room.DirectToReverberantDb(FirstOrderPattern.Omni, place.ArrayM));
        node["delaySamples"] = place.DelaySamples;
        return node;
    }

    private static IEnumerable<double> Rises(PlacementPlan plan, double distanceM) =>
        PlacementPlan.RiseFrequenciesHz.Select(hz => Proximity.RiseDb(plan.SpotPattern, distanceM, hz, plan.SpeedOfSoundMps));

    private static Table Table(params string[] columns)
    {
        var table = new Table().Border(TableBorder.Simple);
        foreach (var column in columns)
            table.AddColumn(new TableColumn(column) { Alignment = Justify.Right });
        return table;
    }

    private static string Db(double value) => Invariant($"{value:+0.0;-0.0;0.0}");

    private static double Round(double value) => Math.Round(value, 4);

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
