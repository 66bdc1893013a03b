using CaptureProc.Dsp.Delay;

namespace CaptureProc.Rendering.Alignment;

/// <summary>The course of another recorder's clock over a take.</summary>
/// <param name="DriftPpm">Positive: it is fast, its recording longer.</param>
/// <param name="AtFrame">The frame of the output at which the spot's applied delay is the one that is stated.</param>
public sealed record ClockCourse(double DriftPpm, double AtFrame)
{
    /// <summary>Frames of the spot's recording for one of the array's.</summary>
    public double StepFrames => 1 + DriftPpm * 1e-6;

    /// <summary>Where in the spot's recording the sound of an output frame stands.</summary>
    /// <param name="delaySamples">The applied delay at <see cref="AtFrame"/>.</param>
    public double PositionOf(double outputFrame, double delaySamples) =>
        outputFrame - delaySamples + DriftPpm * 1e-6 * (outputFrame - AtFrame);

    /// <summary>How far ahead of the output the input has to be read: a fast clock needs ever more of it.</summary>
    /// <param name="encoderLatencyFrames">By which the input comes late.</param>
    public int LatencyFrames(int encoderLatencyFrames, double delaySamples, long takeFrames)
    {
        var filter = encoderLatencyFrames + FractionalDelayKernel.TapCount / 2;
        var ahead = Math.Max(PositionOf(0, delaySamples), PositionOf(takeFrames, delaySamples) - takeFrames);
        // The latency itself passes by before the first frame and after the last one, at the same drift.
        return (int)Math.Ceiling(Math.Max(0, filter + ahead) / (1 - Math.Abs(DriftPpm * 1e-6))) + 2;
    }
}
