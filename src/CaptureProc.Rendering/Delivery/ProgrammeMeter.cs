using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Rendering.Delivery;

/// <summary>Measures a sound field as it passes: the stated rendering, W, and the true peak of every channel.</summary>
/// <remarks>Thread: one. Allocates: in the constructor, and 1.6 kB a second for what <see cref="At"/> needs. Shape: blocks of AmbiX of any length.</remarks>
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
        renderedLoudness = new LoudnessMeter(sampleRateHz, [1, 1]) { KeepsSlices = true };
        loudnessOfW = new LoudnessMeter(sampleRateHz, [1]) { KeepsSlices = true };
        renderedPeak = new TruePeakMeter(sampleRateHz, 2);
        channelPeaks = new TruePeakMeter(sampleRateHz, rendering.Filter.Inputs);
    }

    /// <summary>In blocks of these the rendering is made; several of them at once cost less.</summary>
    public int MaxBlockFrames => renderer.MaxBlockFrames;

    /// <summary>Of the stated rendering, over the last 0.4 s.</summary>
    public double MomentaryLufs => renderedLoudness.MomentaryLufs;

    /// <summary>The same over the last 3 s.</summary>
    public double ShortTermLufs => renderedLoudness.ShortTermLufs;

    public void Process(float[][] field, int frames)
    {
        // The peaks of all channels are half of the work; they share nothing with the rest.
        var peaks = Task.Run(() => channelPeaks.Process(new ReadOnlyPlanarSpan(field, 0, frames)));
        try
        {
            onlyW[0] = field[0];
            loudnessOfW.Process(new ReadOnlyPlanarSpan(onlyW, 0, frames));
            for (var first = 0; first < frames; first += MaxBlockFrames)
                Render(new ReadOnlyPlanarSpan(field, first, Math.Min(MaxBlockFrames, frames - first)));
        }
        finally
        {
            peaks.GetAwaiter().GetResult();
        }
    }

    /// <summary>Ends the programme and reads the meters.</summary>
    public ProgrammeLoudness Finish()
    {
        End();
        return new ProgrammeLoudness(rendering.Name,
            LoudnessFigures.Of(renderedLoudness, renderedPeak.MaxPeakDbtp),
            LoudnessFigures.Of(loudnessOfW, channelPeaks.PeakDbtp(0)),
            channelPeaks.MaxPeakDbtp);
    }

    /// <summary>What the finished programme reads at another level: every slice of it goes through the gates again.</summary>
    public ProgrammeLoudness At(double gainDb) => new(rendering.Name,
        LoudnessFigures.Of(renderedLoudness.At(gainDb), renderedPeak.MaxPeakDbtp + gainDb),
        LoudnessFigures.Of(loudnessOfW.At(gainDb), channelPeaks.PeakDbtp(0) + gainDb),
        channelPeaks.MaxPeakDbtp + gainDb);

    private void End()
    {
        var tail = new float[rendering.Filter.Inputs][];
        Array.Fill(tail, new float[MaxBlockFrames]);
        for (var left = rendering.Filter.TapCount - 1; left > 0; left -= MaxBlockFrames)
            Render(new ReadOnlyPlanarSpan(tail, 0, Math.Min(left, MaxBlockFrames)));
        renderedPeak.Flush();
        channelPeaks.Flush();
    }

    private void Render(ReadOnlyPlanarSpan input)
    {
        var output = new PlanarSpan(rendered, 0, input.Frames);
        renderer.Process(input, output);
        renderedLoudness.Process(output);
        renderedPeak.Process(output);
    }
}
