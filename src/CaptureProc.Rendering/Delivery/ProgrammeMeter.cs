using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Measures a sound field as it passes: the stated rendering, W, and the true peak of every channel.</summary>
/// <remarks>Thread: one. Allocates: in the constructor only. Shape: blocks of AmbiX, up to <see cref="MaxBlockFrames"/> frames.</remarks>
public sealed class ProgrammeMeter
{
    private readonly StatedRendering rendering;
    private readonly BlockMatrixConvolver renderer;
    private readonly float[][] rendered;
    private readonly float[][] onlyW = new float[1][];
    private readonly LoudnessMeter renderedLoudness;
    private readonly LoudnessMeter loudnessOfW;
    private readonly TruePeakMeter renderedPeak;
    private readonly TruePeakMeter channelPeaks;

    public ProgrammeMeter(StatedRendering rendering, int sampleRateHz)
    {
        this.rendering = rendering;
        renderer = new BlockMatrixConvolver(rendering.Filter);
        rendered = [new float[renderer.MaxBlockFrames], new float[renderer.MaxBlockFrames]];
        renderedLoudness = new LoudnessMeter(sampleRateHz, [1, 1]);
        loudnessOfW = new LoudnessMeter(sampleRateHz, [1]);
        renderedPeak = new TruePeakMeter(sampleRateHz, 2);
        channelPeaks = new TruePeakMeter(sampleRateHz, rendering.Filter.Inputs);
    }

    public int MaxBlockFrames => renderer.MaxBlockFrames;

    /// <summary>Of the stated rendering, over the last 0.4 s.</summary>
    public double MomentaryLufs => renderedLoudness.MomentaryLufs;

    /// <summary>The same over the last 3 s.</summary>
    public double ShortTermLufs => renderedLoudness.ShortTermLufs;

    public void Process(float[][] field, int frames)
    {
        var input = new ReadOnlyPlanarSpan(field, 0, frames);
        onlyW[0] = field[0];
        loudnessOfW.Process(new ReadOnlyPlanarSpan(onlyW, 0, frames));
        channelPeaks.Process(input);
        Render(input);
    }

    /// <summary>Ends the programme and reads the meters.</summary>
    public ProgrammeLoudness Finish()
    {
        var tail = new float[rendering.Filter.Inputs][];
        Array.Fill(tail, new float[MaxBlockFrames]);
        for (var left = rendering.Filter.TapCount - 1; left > 0; left -= MaxBlockFrames)
            Render(new ReadOnlyPlanarSpan(tail, 0, Math.Min(left, MaxBlockFrames)));
        renderedPeak.Flush();
        channelPeaks.Flush();
        return new ProgrammeLoudness(rendering.Name,
            LoudnessFigures.Of(renderedLoudness, renderedPeak.MaxPeakDbtp),
            LoudnessFigures.Of(loudnessOfW, channelPeaks.PeakDbtp(0)),
            channelPeaks.MaxPeakDbtp);
    }

    private void Render(ReadOnlyPlanarSpan input)
    {
        var output = new PlanarSpan(rendered, 0, input.Frames);
        renderer.Process(input, output);
        renderedLoudness.Process(output);
        renderedPeak.Process(output);
    }
}
