using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Plugins.Spots;

/// <summary>The sound of a spot plug-in: encoder (four channels only), delay, and the gains into the outputs.</summary>
/// <remarks>
/// Thread: constructor and Publish [main] or the shared worker; everything else [audio]. Allocates: in the constructor only.
/// Shape:   n inputs, m outputs, any block up to MaxBlockFrames, in place or not.
/// Unit:    delays in samples; from −MaxEarlyFrames, which the latency makes room for, to RoomSamples.
/// Latency: LatencyFrames, whatever is set, bypass included.
/// </remarks>
public sealed class SpotEngine
{
    private readonly SplitMatrixConvolver? encoder;
    private readonly FractionalDelay delay;
    private readonly GainMatrix placement;
    private readonly FrameDelay dry;
    private readonly GainMatrix through;
    private readonly float[] workRows, dryRows, throughRows;
    private readonly SpotShape shape;
    private readonly int stride;
    private bool bypassed;

    /// <param name="shape">Widths, latencies and the longest delay.</param>
    /// <param name="filter">For four channels: the filter to begin with; null leaves the stage out.</param>
    /// <param name="maxBlockFrames">The longest block.</param>
    /// <param name="crossfadeFrames">How long a change of delay or filter takes.</param>
    public SpotEngine(SpotShape shape, SplitFilter? filter, int maxBlockFrames, int crossfadeFrames)
    {
        (this.shape, stride) = (shape, maxBlockFrames);
        if (filter is not null)
            encoder = new SplitMatrixConvolver(filter, maxBlockFrames, 2 * filter.LatencyFrames + 1, crossfadeFrames);
        var early = shape.MaxEarlyFrames;
        delay = new FractionalDelay(shape.Inputs, early, early + shape.RoomSamples, maxBlockFrames, crossfadeFrames);
        placement = new GainMatrix(shape.Outputs, shape.Inputs, maxBlockFrames);
        dry = new FrameDelay(shape.Inputs, shape.LatencyFrames, maxBlockFrames);
        through = new GainMatrix(shape.Outputs, shape.Inputs, maxBlockFrames);
        workRows = FlatArray.New<float>(shape.Inputs * stride);
        dryRows = FlatArray.New<float>(shape.Inputs * stride);
        throughRows = FlatArray.New<float>(shape.Outputs * stride);
    }

    public int LatencyFrames => shape.LatencyFrames;

    /// <summary>Fades over to another encoder.</summary>
    public void Publish(SplitFilter filter) => encoder?.Publish(filter);

    /// <summary>The delay from the next block on; beyond what there is room for, the nearest there is.</summary>
    public void SetDelay(double samples) =>
        delay.SetDelay(Math.Clamp(samples, -shape.MaxEarlyFrames, shape.RoomSamples) + shape.MaxEarlyFrames);

    /// <summary>Sends the gains from inputs to outputs (output-major) to new values; bypass passes the inputs that have an output.</summary>
    public void SetPlacement(ReadOnlySpan<float> gains, bool bypass, int glideFrames)
    {
        Span<float> wet = stackalloc float[gains.Length];
        Span<float> pass = stackalloc float[gains.Length];
        wet.Clear();
        pass.Clear();
        if (bypass)
            for (var i = 0; i < Math.Min(shape.Inputs, shape.Outputs); i++)
                pass[i * shape.Inputs + i] = 1;
        else
            gains.CopyTo(wet);
        placement.GlideTo(wet, glideFrames);
        through.GlideTo(pass, glideFrames);
        bypassed = bypass;
    }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        var frames = input.Frames;
        var work = new PlanarSpan(workRows, shape.Inputs, frames, stride);
        var delayed = new PlanarSpan(dryRows, shape.Inputs, frames, stride);
        dry.Process(input, delayed);
        encoder?.Process(input, work);
        delay.Process(encoder is null ? input : work, work);
        placement.Process(work, output);
        if (!bypassed && !through.IsGliding)
            return;
        var passed = new PlanarSpan(throughRows, shape.Outputs, frames, stride);
        through.Process(delayed, passed);
        for (var channel = 0; channel < shape.Outputs; channel++)
            SampleSum.Add(passed[channel], output[channel]);
    }

    /// <summary>Takes the newest filter, delay and gains at once: nothing sounds yet that a change could tear.</summary>
    public void Settle()
    {
        encoder?.Settle();
        delay.Settle();
        placement.Reset();
        through.Reset();
    }

    /// <summary>Forgets the past and takes the newest filter and delay at once.</summary>
    public void Reset()
    {
        encoder?.Reset();
        delay.Reset();
        placement.Reset();
        dry.Reset();
        through.Reset();
    }
}
