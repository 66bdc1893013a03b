using CaptureProc.Rendering.Delivery;

namespace CaptureProc.DeskServer.Views;

/// <summary>A mix's loudness as it goes; null where there is no reading.</summary>
internal sealed record LoudnessView(
    double StepSeconds, IReadOnlyList<double?> MomentaryLufs, IReadOnlyList<double?> ShortTermLufs,
    double? IntegratedLufs, double? RangeLu, double? TruePeakDbtp, double? ChannelTruePeakDbtp, string Rendering)
{
    public static LoudnessView Of(string path)
    {
        var course = LoudnessCourse.Of(path);
        return new LoudnessView(course.StepSeconds, [.. course.MomentaryLufs.Select(Known)], [.. course.ShortTermLufs.Select(Known)],
            Known(course.Figures.Rendering.IntegratedLufs), Known(course.Figures.Rendering.RangeLu),
            Known(course.Figures.Rendering.TruePeakDbtp), Known(course.Figures.ChannelTruePeakDbtp), course.Figures.RenderingName);
    }

    private static double? Known(double value) => double.IsFinite(value) ? Math.Round(value, 2) : null;
}
