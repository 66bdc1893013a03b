using CaptureProc.Report.Page;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>How the hall dies away, by octaves, as the claps told it.</summary>
internal static class HallFigures
{
    /// <returns>HTML; empty where the session knows nothing of the hall.</returns>
    public static string Compose(RoomEntry? room)
    {
        if (room is null)
            return "";
        var table = new HtmlTable("Octave", "#EDT", "#T20", "#T30", "#C80");
        foreach (var band in room.Bands)
            table.Row(Octave(band.FrequencyHz), Seconds(band.EdtSeconds), Seconds(band.T20Seconds), Seconds(band.T30Seconds), Decibels(band.C80Db));
        return $"""
            <div class="block">
            <h3>The hall</h3>
            <p>{Decay(room)}{(room.EdtSeconds is null ? "" : $" Early decay time {Seconds(room.EdtSeconds)}.")}{(room.C80Db is null ? "" : $" C80 {Decibels(room.C80Db)}: the energy of the first 80 ms over the rest.")} From {room.Claps} claps, as far as claps go (ISO 3382-1).</p>
            {(room.Bands.Count > 0 ? table.ToString() : "")}</div>

            """;
    }

    private static string Decay(RoomEntry room) => room.ReverberationSeconds is null
        ? "The background hides the reverberation time."
        : $"Reverberation time {Number(room.ReverberationSeconds, 2)}{(room.UncertaintySeconds is null ? "" : $" ± {Number(room.UncertaintySeconds, 2)}")}\u00a0s at mid frequencies.";

    private static string Octave(double hz) => hz >= 1000 ? $"{Number(hz / 1000)} kHz" : $"{Number(hz, hz % 1 == 0 ? 0 : 1)} Hz";

    private static string Seconds(double? seconds) => seconds is null ? None : $"{Number(seconds, 2)}\u00a0s";

    private static string Decibels(double? db) => db is null ? None : $"{Signed(db, 1)}\u00a0dB";
}
