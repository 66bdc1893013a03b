using System.Numerics;
using System.Runtime.InteropServices;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Rendering.Alignment;

/// <summary>The array or one spot on its way to alignment: its channels through its encoder if it has one, then delayed.</summary>
/// <remarks>
/// Thread: one. The time that comes out is the voice's own delay behind the take, plus the <see cref="LatencyFrames"/> that all voices of a
/// renderer share: enough that the interpolation filter can look ahead after the longest encoder.
/// </remarks>
internal sealed class AlignedVoice
{
    private readonly int[] inputs;
    private readonly float[][] rows;
    private readonly BlockMatrixConvolver? encoder;
    private readonly ConstantDelay? delay;
    private readonly ClockedDelay? clockedDelay;
    private readonly bool isInverted;

    /// <param name="inputs">Which of the renderer's input channels, in the order of the encoder's inputs.</param>
    /// <param name="encoder">From capsules to a field; null for a spot that is heard as it is.</param>
    /// <param name="delaySamples">0 or more: how much later than the take.</param>
    /// <param name="polarity">+1 or −1.</param>
    /// <param name="clock">How the clock of the voice's own recorder runs; null where it is the array's.</param>
    /// <param name="latencyFrames">The latency that all voices share.</param>
    /// <param name="blockFrames">The longest block.</param>
    public AlignedVoice(int[] inputs, MatrixFilter? encoder, double delaySamples, int polarity, ClockCourse? clock, int latencyFrames, int blockFrames)
    {
        this.inputs = inputs;
        rows = new float[inputs.Length][];
        this.encoder = encoder is null ? null : new BlockMatrixConvolver(encoder, blockFrames);
        OutputChannelCount = encoder?.Outputs ?? inputs.Length;
        isInverted = polarity < 0;
        if (clock is not null)
        {
            clockedDelay = new ClockedDelay(OutputChannelCount, clock, delaySamples, encoder?.LatencyFrames ?? 0, latencyFrames, blockFrames);
            return;
        }
        delay = new ConstantDelay(OutputChannelCount, latencyFrames - (encoder?.LatencyFrames ?? 0) + delaySamples, blockFrames);
        if (delay.LatencyFrames > 0)
            throw new ArgumentOutOfRangeException(nameof(latencyFrames), latencyFrames, $"The latency leaves {delay.LatencyFrames} frames too few for the delay's filter.");
    }

    public int OutputChannelCount { get; }

    /// <summary>The latency that voices with this encoder latency need.</summary>
    public static int LatencyFrames(int encoderLatencyFrames) => encoderLatencyFrames + FractionalDelayKernel.LatencyFrames;

    public void Render(float[][] input, int first, PlanarSpan output)
    {
        for (var i = 0; i < inputs.Length; i++)
            rows[i] = input[inputs[i]];
        var block = new ReadOnlyPlanarSpan(rows, first, output.Frames);
        encoder?.Process(block, output);
        if (encoder is not null)
            block = output;
        if (clockedDelay is not null)
            clockedDelay.Process(block, output);
        else
            delay!.Process(block, output);
        if (isInverted)
            for (var channel = 0; channel < output.Channels; channel++)
                Invert(output[channel]);
    }

    private static void Invert(Span<float> samples)
    {
        var vectors = MemoryMarshal.Cast<float, Vector<float>>(samples);
        for (var i = 0; i < vectors.Length; i++)
            vectors[i] = -vectors[i];
        for (var n = vectors.Length * Vector<float>.Count; n < samples.Length; n++)
            samples[n] = -samples[n];
    }
}
