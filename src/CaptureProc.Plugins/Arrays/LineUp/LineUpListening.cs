using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>One line-up under way: the audio thread listens, and leaves a copy of what it has heard for the worker.</summary>
/// <remarks>
/// Thread: constructor [main] or the shared worker; Hear [audio]; TryTake and GiveBack one at a time elsewhere.
/// Allocates: in the constructor only, some 1.6 MB of flat arrays at 48 kHz. Neither side waits: the copy belongs to one of them at
/// a time, and a flag says to whom.
/// </remarks>
internal sealed class LineUpListening(double sampleRateHz)
{
    private readonly LineUpMeter meter = new(sampleRateHz, LineUpParameters.Channels);
    private readonly LineUpRecord copy = new(sampleRateHz, LineUpParameters.Channels);
    private long copiedHops;
    private volatile bool isCopied;

    public double SampleRateHz => sampleRateHz;

    public ThirdOctaves Bands => copy.Bands;

    /// <summary>Hears the raw inputs of a block. [audio]</summary>
    public void Hear(ReadOnlyPlanarSpan input)
    {
        meter.Process(input);
        if (isCopied || meter.Record.HopsHeard == copiedHops)
            return;
        meter.Record.CopyTo(copy);
        copiedHops = meter.Record.HopsHeard;
        isCopied = true;
    }

    /// <summary>The newest copy, to be given back; null where nothing new has been heard.</summary>
    public LineUpRecord? TryTake() => isCopied ? copy : null;

    public void GiveBack() => isCopied = false;
}
