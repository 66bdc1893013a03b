using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.Design;

namespace CaptureProc.Plugins.Spots;

/// <summary>What is fixed for the life of a spot plug-in at a rate: widths, and the latency that follows from them.</summary>
public sealed record SpotShape(int Inputs, int Outputs, double SampleRateHz)
{
    /// <summary>How much earlier than the array a spot can be played.</summary>
    public const double MaxEarlySeconds = 0.010;

    /// <summary>170 m of air: more than any stage.</summary>
    public const double MaxDelaySeconds = 0.5;

    /// <summary>How much further back a spot can be held than where it lines up.</summary>
    public const double MaxLaterSeconds = 0.03;

    public int MaxEarlyFrames => (int)Math.Ceiling(MaxEarlySeconds * SampleRateHz);

    public double MaxDelaySamples => Math.Ceiling(MaxDelaySeconds * SampleRateHz);

    /// <summary>The longest delay that there is room for: the latest spot, held back.</summary>
    public double RoomSamples => Math.Ceiling((MaxDelaySeconds + MaxLaterSeconds) * SampleRateHz);

    /// <summary>Whether a spot's delay is one that can be played.</summary>
    public bool CanDelay(double samples) => samples >= -MaxEarlyFrames && samples <= MaxDelaySamples;

    /// <summary>Four channels may be a capsule array, which is then encoded like the main one.</summary>
    public bool HasEncoder => Inputs == 4;

    public bool IsPlacing => Inputs == 1 && Outputs > 1;

    public int EncoderLatencyFrames => HasEncoder ? EncoderDesign.LatencyFrames(Correction.Full, SampleRateHz) : 0;

    public int LatencyFrames => EncoderLatencyFrames + FractionalDelayKernel.LatencyFrames + MaxEarlyFrames;
}
