using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Rendering.Alignment;

/// <summary>Delays the stream of another recorder and brings it to the array's clock: as many frames out as in.</summary>
/// <remarks>
/// Thread: one. Error: that of <see cref="Resampler"/>; positions are multiplied out from the start, so nothing adds up over a
/// long take. Memory: what the two clocks come apart over the take waits here, a few thousand frames an hour.
/// </remarks>
internal sealed class ClockedDelay
{
    private readonly Resampler resampler;
    private readonly FrameQueue waiting;

    /// <param name="channels">Of the stream.</param>
    /// <param name="clock">Its clock.</param>
    /// <param name="delaySamples">The applied delay where the clock says.</param>
    /// <param name="inputLatencyFrames">By how much the stream comes late, through an encoder before.</param>
    /// <param name="latencyFrames">By how much the output is to come late: at least what the clock asks for.</param>
    /// <param name="blockFrames">The longest block.</param>
    public ClockedDelay(int channels, ClockCourse clock, double delaySamples, int inputLatencyFrames, int latencyFrames, int blockFrames)
    {
        // Frame m that comes out is the output's frame m − latency; frame k that goes in is the take's frame k − inputLatency.
        var start = clock.PositionOf(-latencyFrames, delaySamples) + inputLatencyFrames;
        resampler = new Resampler(channels, clock.StepFrames, blockFrames, start);
        waiting = new FrameQueue(channels);
    }

    /// <summary>In place: yes.</summary>
    public void Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        var frames = input.Frames;
        resampler.Process(input, waiting.Append(resampler.NextOutputFrames(frames)));
        waiting.Take(output.Slice(0, frames));
    }
}
