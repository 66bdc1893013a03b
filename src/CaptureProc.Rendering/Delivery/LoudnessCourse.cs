using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Delivery;

/// <summary>The loudness of a programme as it goes, and its figures at the end.</summary>
/// <param name="StepSeconds">From one value to the next.</param>
/// <param name="MomentaryLufs">Over the 0.4 s before; −∞ where there is nothing yet.</param>
/// <param name="ShortTermLufs">Over the 3 s before.</param>
/// <param name="Figures">As <c>deliver</c> measures them.</param>
public sealed record LoudnessCourse(double StepSeconds, IReadOnlyList<double> MomentaryLufs, IReadOnlyList<double> ShortTermLufs, ProgrammeLoudness Figures)
{
    private const int StepsPerSecond = 10;

    /// <summary>Listens to a mix from beginning to end.</summary>
    /// <param name="path">A sound field of 4, 9 or 16 channels.</param>
    /// <param name="format">Its order and scale; null goes by its header.</param>
    /// <param name="progress">Told the share.</param>
    public static LoudnessCourse Of(string path, FieldFormat? format = null, IProgress<double>? progress = null)
    {
        StatedRendering rendering;
        int rate;
        using (var input = WavInput.Open(path))
        {
            rendering = StatedRendering.Pair(FieldOrder.Of(input.ChannelCount, path));
            rate = input.SampleRateHz;
            format ??= input.Files[0].IsBFormat ? FieldFormat.FuMa : FieldFormat.AmbiX;
        }
        var meter = new ProgrammeMeter(rendering, rate);
        using var reader = new FieldReader(path, format.Value, 0, Math.Min(meter.MaxBlockFrames, rate / StepsPerSecond));
        var (momentary, shortTerm) = (new List<double>(), new List<double>());
        long heard = 0;
        for (int frames; (frames = reader.Next()) > 0;)
        {
            meter.Process(reader.Block, frames);
            heard += frames;
            progress?.Report(reader.Share);
            while (heard * StepsPerSecond >= (momentary.Count + 1L) * rate)
            {
                momentary.Add(meter.MomentaryLufs);
                shortTerm.Add(meter.ShortTermLufs);
            }
        }
        return new LoudnessCourse(1.0 / StepsPerSecond, momentary, shortTerm, meter.Finish());
    }
}
