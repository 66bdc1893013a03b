using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>Shifts a stream by a constant number of samples, fractions and negative ones allowed; offline.</summary>
/// <remarks>
/// Thread: constructor [main]; Process and Reset [audio]. Allocates: in the constructor only. In place: yes.
/// Unit:    delaySamples; positive makes the stream later.
/// Latency: LatencyFrames, the least that lets the interpolation filter look ahead; 0 once the delay is longer than half the
///          filter. Whoever writes a file drops that many frames of the output, and feeds as many of silence at the end.
/// Error:   that of <see cref="FractionalDelayKernel"/>; a whole delay is exact. The numbers are those of
///          <see cref="FractionalDelay"/> at the same fraction.
/// </remarks>
public sealed class ConstantDelay : IPlanarProcessor
{
    private readonly FractionalDelay delay;

    public ConstantDelay(int channels, double delaySamples, int maxBlockFrames)
    {
        if (!(Math.Abs(delaySamples) <= 1 << 27))
            throw new ArgumentOutOfRangeException(nameof(delaySamples), delaySamples, "The delay is from −2^27 to 2^27 samples.");
        var wholeFrames = (int)Math.Floor(delaySamples);
        LatencyFrames = Math.Max(0, FractionalDelayKernel.LatencyFrames - wholeFrames);
        var remaining = delaySamples - wholeFrames + (wholeFrames + LatencyFrames - FractionalDelayKernel.LatencyFrames);
        delay = new FractionalDelay(channels, remaining, remaining, maxBlockFrames);
    }

    public int Inputs => delay.Inputs;

    public int Outputs => delay.Outputs;

    public int MaxBlockFrames => delay.MaxBlockFrames;

    public int LatencyFrames { get; }

    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output) => delay.Process(input, output);

    public void Reset() => delay.Reset();
}
