using System.Globalization;
using System.Text;
using CaptureProc.Session;

namespace CaptureProc.Report.Lists;

/// <summary>The delays of a session as a list to take along: for people, or for a spreadsheet.</summary>
/// <remarks>Thread: [any]. Delay is what is added to the spot; numbers have a point, whatever the machine's language.</remarks>
public static class DelayList
{
    private static readonly string[] Heads =
        ["spot", "channels", "delay_samples", "delay_ms", "uncertainty_samples", "confidence", "polarity", "azimuth_deg", "elevation_deg", "distance_m", "gain_db", "note"];

    /// <summary>Columns for people, in letters of one width.</summary>
    public static string Text(SessionDocument session, ArrayEntry array)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(array);
        string[] heads = ["spot", "channels", "samples", "ms", "+-", "sure", "polarity", "azimuth", "elevation", "m", "gain dB", ""];
        var rows = Rows(session.HeardBy(array)).Select(r => Array.ConvertAll(r, c => c.Length == 0 ? "-" : c)).ToList();
        foreach (var row in rows)
            row[^1] = row[^1] == "-" ? "" : row[^1];
        var widths = heads.Select((h, i) => rows.Select(r => r[i].Length).Append(h.Length).Max()).ToArray();
        var text = new StringBuilder();
        text.Append(session.Title ?? "Untitled session").Append('\n')
            .Append(CultureInfo.InvariantCulture, $"Added to each spot so that it lines up with array {array.Id}, at {session.SampleRate} Hz; +- is one standard deviation, polarity -1 has to be turned round.\n\n");
        foreach (var row in rows.Prepend(heads))
            text.Append(string.Join("  ", row.Select((cell, i) => i is 0 or 1 || i == row.Length - 1 ? cell.PadRight(widths[i]) : cell.PadLeft(widths[i]))).TrimEnd()).Append('\n');
        return text.ToString();
    }

    /// <summary>Comma-separated values as RFC 4180 has them: a line of heads, lines that end in CR LF, quotes where they are needed.</summary>
    public static string Csv(SessionDocument session, ArrayEntry array)
    {
        ArgumentNullException.ThrowIfNull(session);
        ArgumentNullException.ThrowIfNull(array);
        var text = new StringBuilder();
        foreach (var row in Rows(session.HeardBy(array)).Prepend(Heads))
            text.AppendJoin(',', row.Select(Quoted)).Append("\r\n");
        return text.ToString();
    }

    private static IEnumerable<string[]> Rows(SessionDocument session) => session.Spots.Select(s => new[]
    {
        s.Id, string.Join(' ', s.Channels), Number(s.Delay?.Samples, "0.000"), Number(s.Delay?.Ms, "0.0000"), Number(s.Delay?.UncertaintySamples, "0.000"),
        Number(s.Delay is { } d ? Math.Floor(1000 * d.Confidence) / 1000 : null, "0.000"), s.Delay is null ? "" : Number(s.Polarity, "0"),
        Number(s.Direction?.AzimuthDeg, "0.0"), Number(s.Direction?.ElevationDeg, "0.0"), Number(s.DistanceM, "0.00"), Number(s.GainDb, "0.0"), s.Note ?? "",
    });

    private static string Number(double? value, string format) => value?.ToString(format, CultureInfo.InvariantCulture) ?? "";

    private static string Quoted(string cell) => cell.AsSpan().ContainsAny(",\"\r\n") ? $"\"{cell.Replace("\"", "\"\"", StringComparison.Ordinal)}\"" : cell;
}
