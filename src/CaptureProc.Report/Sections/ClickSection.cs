using System.Text;
using CaptureProc.Report.Page;
using CaptureProc.Report.Plots;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>Delays, and the claps they were read from, before and after alignment.</summary>
internal static class ClickSection
{
    /// <param name="session">As the array in use hears it.</param>
    /// <param name="inUse">The array.</param>
    /// <param name="material">What the recording holds.</param>
    public static ReportSection Compose(SessionDocument session, ArrayEntry inUse, ReportMaterial material)
    {
        var body = new StringBuilder();
        if (!session.IsMain(inUse))
            body.Append(ReportSection.Paragraph($"Against array {Text(inUse.Id)}."));
        body.Append(session.Spots.Any(s => s.Delay is not null)
            ? Delays(session)
            : ReportSection.Missing("No delay has been measured. Record one clap at every spot, then run <code>captureproc measure</code>."));
        if (session.IsMain(inUse))
            foreach (var other in session.OtherArraysHeard())
                body.Append($"<h3>Against array {Text(other.Id)}</h3>\n").Append(Delays(session.HeardBy(other)));
        if (session.Clicks.Count > 0)
            body.Append("<h3>Claps of the slate</h3>\n").Append(Clicks(session));
        if (material.Waveforms.Count > 0)
        {
            body.Append("<h3>Before and after</h3>\n<p class=\"note\">Left as recorded; right with delay and polarity applied, from nearer, the spot laid over the array. Zero is the arrival at the array. Each trace is scaled to its own peak.</p>\n<div class=\"pairs\">\n");
            foreach (var waveform in material.Waveforms)
                body.Append(Waveform(waveform));
            body.Append("</div>\n");
        }
        else if (session.Clicks.Count > 0)
            body.Append(ReportSection.Missing($"No waveforms: {Text(material.WaveformNote ?? "the recording was not given.")} Name it with <code>--recording</code> to see each clap here."));
        return new ReportSection("clicks", "Claps and delays", body.ToString());
    }

    private static string Delays(SessionDocument session)
    {
        var table = new HtmlTable("Spot", "#Delay", "#in samples", "#Uncertainty", "#Confidence", "Polarity", "From");
        foreach (var spot in session.Spots)
            if (spot.Delay is { } delay)
                table.Row(Text(spot.Id), $"{Signed(delay.Ms, 3)} ms", Signed(delay.Samples, 2), PlusMinus(delay.UncertaintySamples, 3),
                    Confidence(delay.Confidence), Polarity(spot), Text(Source(delay.Source)));
            else
                table.Row(Text(spot.Id), None, None, None, None, None, "not measured");
        return table.ToString();
    }

    // The session's word for it is that of the file format; people clap.
    private static string? Source(string? source) => source switch { "click" => "clap", "shared click" => "one clap for all", "program" => "music", _ => source };

    private static string Clicks(SessionDocument session)
    {
        var table = new HtmlTable("Clap", "#Time in the recording", "#Above the noise", "#Direct over hall");
        foreach (var click in session.Clicks)
            table.Row(Text(click.Spot ?? "for all"), $"{Number(click.TimeSeconds, 3)} s",
                click.SnrDb is null ? None : $"{Number(click.SnrDb, 0)} dB", click.DirectToReverberantDb is null ? None : $"{Signed(click.DirectToReverberantDb, 1)} dB");
        return table.ToString();
    }

    private static string Waveform(ClickWaveform w)
    {
        var before = WaveformPlot.Draw(w.BeforeStartMs, w.SampleRateHz, w.ArrayBefore, w.SpotBefore, w.SpotId, $"Clap at {w.SpotId} as recorded");
        var after = OverlayPlot.Draw(w.Near.StartSamples, w.Near.StepSamples, w.Near.Array, w.Near.Spot, w.SpotId, $"Clap at {w.SpotId} aligned");
        return $"""
            <div class="pair">
            {ReportSection.Figure(before, $"<b>{Text(w.SpotId)}</b> as recorded, at {Number(w.TimeSeconds, 3)} s")}{ReportSection.Figure(after, $"<b>{Text(w.SpotId)}</b> aligned, in samples")}</div>

            """;
    }
}
