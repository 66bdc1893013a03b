using System.Globalization;
using System.Text;
using CaptureProc.Session;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Page;

/// <summary>The page around the sections: title, particulars, style. Nothing in it points outside.</summary>
internal static class PageShell
{
    public static string Compose(SessionDocument session, DateTimeOffset madeAt, IReadOnlyList<ReportSection> sections)
    {
        var body = new StringBuilder();
        for (var i = 0; i < sections.Count; i++)
            body.Append(CultureInfo.InvariantCulture, $"""
                <section id="{sections[i].Id}">
                <h2><span class="no">{i + 1}</span>{Text(sections[i].Title)}</h2>
                {sections[i].Body}</section>

                """);
        var title = string.IsNullOrWhiteSpace(session.Title) ? "Untitled session" : session.Title;
        return $"""
            <!doctype html>
            <html lang="en">
            <head>
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <title>{Text(title)} – session report</title>
            <link rel="icon" href="data:,">
            <style>
            {Style()}</style>
            </head>
            <body>
            <header>
            <p class="kind">Session report</p>
            <h1>{Text(title)}</h1>
            <dl class="particulars">
            {Particular("Recorded at", $"{Number(session.SampleRate / 1000.0, session.SampleRate % 1000 == 0 ? 0 : 1)} kHz")}
            {Particular("Air", $"{Number(session.Air.TemperatureC, 1)} °C, {Number(session.Air.SpeedOfSound, 1)} m/s")}
            {Particular("Session begun", Day(session.Created))}
            {Particular("Last changed", Day(session.Modified))}
            {Particular("Page made", Day(madeAt))}
            </dl>
            </header>
            <main>
            {body}</main>
            <footer>Angles: azimuth 0° ahead, positive to the left; elevation positive upwards. Delay: what is added to the spot. Levels in dB re full-scale sine.</footer>
            </body>
            </html>

            """;
    }

    private static string Particular(string name, string value) => $"<div><dt>{name}</dt><dd>{value}</dd></div>";

    private static string Style()
    {
        using var stream = typeof(PageShell).Assembly.GetManifestResourceStream("report.css")!;
        using var reader = new StreamReader(stream, Encoding.UTF8);
        return reader.ReadToEnd();
    }
}
