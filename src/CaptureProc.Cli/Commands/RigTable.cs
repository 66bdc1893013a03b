using System.Globalization;
using CaptureProc.Session;
using Spectre.Console;

namespace CaptureProc.Cli.Commands;

/// <summary>What stands where, as a table.</summary>
internal static class RigTable
{
    public static Table Of(SessionDocument session)
    {
        var table = new Table().Border(TableBorder.Simple).AddColumns("", "Channels", "");
        foreach (var array in session.Arrays)
            table.AddRow($"array {Markup.Escape(array.Id)}", string.Join(' ', array.Channels), string.Create(CultureInfo.InvariantCulture,
                $"{Markup.Escape(string.Join(' ', array.Capsules.Select(c => c.Label)))}, radius {array.RadiusMm} mm, pattern {array.Pattern}, yaw {array.Mount.YawDeg} pitch {array.Mount.PitchDeg} roll {array.Mount.RollDeg}"));
        foreach (var spot in session.Spots)
            table.AddRow($"spot {Markup.Escape(spot.Id)}", string.Join(' ', spot.Channels), spot.ArrayId is { } id ? $"capsule array {Markup.Escape(id)}" : "");
        return table;
    }
}
