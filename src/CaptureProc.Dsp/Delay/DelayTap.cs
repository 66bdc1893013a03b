using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>One place to read a history at: a whole delay and the kernel for the rest.</summary>
/// <remarks>Thread: [audio] once made. Allocates: in the constructor only.</remarks>
internal sealed class DelayTap
{
    private readonly float[] taps = new float[FractionalDelayKernel.TapCount];
    private int wholeFrames;
    private bool isWhole;

    public double DelaySamples { get; private set; }

    /// <summary>Moves the tap. Some microseconds: a kernel is computed, not looked up, so that every fraction is as good as any other.</summary>
    public void MoveTo(double delaySamples)
    {
        DelaySamples = delaySamples;
        wholeFrames = (int)delaySamples;
        var fraction = delaySamples - wholeFrames;
        isWhole = fraction == 0;
        FractionalDelayKernel.Fill(fraction, taps);
    }

    /// <summary>Writes the delayed samples, <see cref="FractionalDelayKernel.LatencyFrames"/> later still, from a frame of the history on.</summary>
    public void Read(SlidingHistory history, int channel, int frame, Span<float> output, AlignedBuffer<float> scratch)
    {
        if (isWhole)
        {
            // The kernel is a single 1: the same samples, without the arithmetic.
            history.Run(channel, frame - wholeFrames - FractionalDelayKernel.LatencyFrames, output.Length).CopyTo(output);
            return;
        }

        for (var done = 0; done < output.Length; done += DelayKernelLoop.Frames)
        {
            DelayKernelLoop.Run(ref history.At(channel, frame - wholeFrames + done), taps, ref scratch.First);
            scratch.Span[..Math.Min(DelayKernelLoop.Frames, output.Length - done)].CopyTo(output[done..]);
        }
    }
}
