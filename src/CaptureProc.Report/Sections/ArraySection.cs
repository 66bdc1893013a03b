using System.Text;
using CaptureProc.Dsp.Design;
using CaptureProc.Report.Page;
using CaptureProc.Report.Plots;
using CaptureProc.Report.Readings;
using CaptureProc.Session;
using OxyPlot;
using static CaptureProc.Report.Page.Figures;

namespace CaptureProc.Report.Sections;

/// <summary>What this array with its conversion can do, and where it stops: error and level over frequency, directivity.</summary>
internal static class ArraySection
{
    private const int W = 0, X = 3;

    private static readonly double[] DirectivityHz = [250, 1000, 4000, 8000];

    public static ReportSection Compose(SessionDocument session, ArrayEntry array)
    {
        var capsules = array.ToCapsuleArray();
        if (ArrayResolution.FindProblem(capsules) is { } problem)
            return new ReportSection("array", "The array's response", ReportSection.Missing($"Cannot be computed: {Text(problem)}"));
        EncoderPerformance With(Correction correction) => new(capsules, session.SampleRate, session.Air.SpeedOfSound, correction);
        var (full, plain) = (With(Correction.Full), With(Correction.None));
        var frequencies = ResponsePlot.FrequenciesHz(0.45 * session.SampleRate);
        return new ReportSection("array", "The array's response",
            Limit(full, frequencies) + Responses(full, plain, frequencies) + Directivities(full, session.SampleRate));
    }

    private static string Limit(EncoderPerformance full, IReadOnlyList<double> frequencies)
    {
        // An error of a half is a wanted signal 6 dB above the unwanted: from there on directions blur.
        var limitHz = frequencies.FirstOrDefault(hz => full.Evaluate(X, hz).Error > 0.5);
        return ReportSection.Paragraph((limitHz > 0
                ? $"With the filters of <code>full</code>, directions stay clear up to about {Number(limitHz / 1000, 1)} kHz; above that four capsules cannot tell them apart, and only the tone is kept right."
                : "With the filters of <code>full</code>, directions stay clear over the whole range.")
            + " That is set by the spacing of the capsules, and no conversion gets round it.");
    }

    private static string Responses(EncoderPerformance full, EncoderPerformance plain, IReadOnlyList<double> frequencies)
    {
        List<DataPoint> Curve(EncoderPerformance of, int output, bool isError) =>
            [.. frequencies.Select(hz => of.Evaluate(output, hz)).Select((value, i) => new DataPoint(frequencies[i], isError ? value.Error : value.LevelDb))];
        List<(IReadOnlyList<DataPoint>, OxyColor, LineStyle)> Curves(bool isError) =>
        [
            (Curve(plain, W, isError), PlotStyle.Array, LineStyle.Dot), (Curve(plain, X, isError), PlotStyle.Spot, LineStyle.Dot),
            (Curve(full, W, isError), PlotStyle.Array, LineStyle.Solid), (Curve(full, X, isError), PlotStyle.Spot, LineStyle.Solid),
        ];
        var error = ResponsePlot.Draw(Curves(isError: true), 0, 1.5, 0.5, "", "Directional error over frequency");
        var level = ResponsePlot.Draw(Curves(isError: false), -12, 6, 6, "dB", "Diffuse-field level over frequency");
        return $"""
            <div class="pair">
            {ReportSection.Figure(error, "Directional error: RMS over all directions against the ideal microphone; 0 is ideal, 1 as large as the signal itself.")}{ReportSection.Figure(level, $"Level in a diffuse field. {Key(PlotStyle.Array, "W")} {Key(PlotStyle.Spot, "X (Y and Z alike)")} Solid: <code>full</code>. Dotted: the plain matrix.")}</div>

            """;
    }

    private static string Directivities(EncoderPerformance full, int sampleRateHz)
    {
        (string Name, double[] Mixture)[] microphones =
        [
            ("W, an omni", [1, 0, 0, 0]),
            ("X, a figure-eight to the front", [0, 0, 0, 1]),
            ("W and X, a cardioid to the front", [0.5, 0, 0, 0.5]),
        ];
        var frequencies = DirectivityHz.Where(hz => hz < 0.45 * sampleRateHz).ToArray();
        var figures = new StringBuilder("<div class=\"block\">\n<h3>Round the horizon</h3>\n<div class=\"three\">\n");
        foreach (var (name, mixture) in microphones)
            figures.Append(ReportSection.Figure(DirectivityPlot.Draw(
                [.. frequencies.Select((hz, i) => (full.Horizontal(mixture, hz), PlotStyle.Steps[i]))], $"Directivity of {name}"), name));
        var keys = string.Join(" ", frequencies.Select((hz, i) => Key(PlotStyle.Steps[i], hz >= 1000 ? $"{Number(hz / 1000)} kHz" : $"{Number(hz)} Hz")));
        return figures.Append("</div>\n").Append(ReportSection.Paragraph($"<span class=\"note\">{keys}</span>")).Append("</div>\n").ToString();
    }

    private static string Key(OxyColor color, string name) => $"<span class=\"key\"><i style=\"border-color:{PlotStyle.Css(color)}\"></i>{name}</span>";
}
