using CaptureProc.Dsp.Loudness;

namespace CaptureProc.Rendering.Delivery;

/// <summary>How loud a sound field is, by a stated rendering and by its W; and how high its own channels go.</summary>
/// <param name="RenderingName">What <paramref name="Rendering"/> was taken from.</param>
/// <param name="ChannelTruePeakDbtp">The highest of the field's channels: what a file of integers must hold.</param>
public sealed record ProgrammeLoudness(string RenderingName, LoudnessFigures Rendering, LoudnessFigures W, double ChannelTruePeakDbtp)
{
    /// <summary>Whatever reaches full scale first: the rendering at the listener's, or a channel in the file.</summary>
    public double HighestTruePeakDbtp => Math.Max(Rendering.TruePeakDbtp, ChannelTruePeakDbtp);
}

/// <summary>One set of figures; −∞ where a programme is silent or too short for the reading.</summary>
public readonly record struct LoudnessFigures(
    double IntegratedLufs, double RangeLu, double MaxMomentaryLufs, double MaxShortTermLufs, double TruePeakDbtp)
{
    internal static LoudnessFigures Of(LoudnessMeter loudness, double truePeakDbtp) => new(
        loudness.IntegratedLufs, loudness.RangeLu, loudness.MaxMomentaryLufs, loudness.MaxShortTermLufs, truePeakDbtp);
}
