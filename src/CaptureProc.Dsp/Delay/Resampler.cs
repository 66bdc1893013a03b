using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Delay;

/// <summary>Reads a stream at times of its own: another sampling rate, or the same one off by some parts per million.</summary>
/// <remarks>
/// Thread: constructor [main]; Process and Reset [audio]. Allocates: in the constructor only.
/// Output frame n is the input at the time startFrames + n·stepFrames, in input frames, exactly: the filter's latency is not part
/// of the result, it only means that HalfLengthFrames of input must have come in behind that time. Before its first
/// frame the input is silent; feed silence behind its last one to get the end.
/// Error:  stepFrames up to 1.01 (other clocks, higher rates): as <see cref="FractionalDelayKernel"/>, flat to 0.9 of half the input's
///         rate; images of what lies above that appear between 1 and 1.1 of it. Larger steps (lower rates): flat to 0.9 of half the
///         output's rate, nothing from above half of it comes through (−95 dB).
/// Bad input: as <see cref="IPlanarProcessor"/> says.
/// Times are multiplied out, not summed up, so that nothing drifts: at 10⁹ frames a double still resolves 10⁻⁷ of one.
/// </remarks>
public sealed class Resampler
{
    private const double LargestInterpolatingStep = 1.01;

    private readonly PhaseTable table;
    private readonly SlidingHistory history;
    private readonly AlignedBuffer<float> taps;
    private readonly int channels;
    private long framesIn;
    private long framesOut;

    public Resampler(int channels, double stepFrames, int maxInputFrames, double startFrames = 0)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxInputFrames, 1);
        if (!(stepFrames is >= 1.0 / 64 and <= 64))
            throw new ArgumentOutOfRangeException(nameof(stepFrames), stepFrames, "The step is from 1/64 to 64 input frames for an output frame.");
        if (!(Math.Abs(startFrames) <= 1L << 40))
            throw new ArgumentOutOfRangeException(nameof(startFrames), startFrames, "The start is within 2^40 frames.");
        (this.channels, StepFrames, MaxInputFrames, StartFrames) = (channels, stepFrames, maxInputFrames, startFrames);
        // A filter whose transition lies between 0.9 and 1.0 of half the rate is twice as long as one from 0.9 to 1.1.
        table = stepFrames <= LargestInterpolatingStep
            ? new PhaseTable(1, FractionalDelayKernel.HalfLength)
            : new PhaseTable(0.95 / stepFrames, (int)Math.Ceiling(2 * FractionalDelayKernel.HalfLength * stepFrames));
        taps = new AlignedBuffer<float>(table.RowLength);
        history = new SlidingHistory(channels, 2 * table.HalfLength, maxInputFrames, table.RowLength);
    }

    public double StepFrames { get; }

    public double StartFrames { get; }

    public int MaxInputFrames { get; }

    /// <summary>How far behind an output frame's time the input must have come in.</summary>
    public int HalfLengthFrames => table.HalfLength;

    /// <summary>How many output frames a stream of so many input frames has: those whose time lies before its end.</summary>
    public long OutputFrames(long inputFrames) => Math.Max(0, (long)Math.Ceiling((inputFrames - StartFrames) / StepFrames));

    /// <summary>How many frames the next call of Process will write when it is given so many.</summary>
    public int NextOutputFrames(int inputFrames)
    {
        // From the real-valued answer to the whole one by stepping, so that it agrees with Process to the frame.
        var lastWhole = framesIn + inputFrames - 1 - table.HalfLength;
        var count = Math.Max(framesOut, (long)Math.Floor((lastWhole + 1 - StartFrames) / StepFrames) - 1);
        while (Math.Floor(TimeOf(count)) <= lastWhole)
            count++;
        return checked((int)(count - framesOut));
    }

    /// <summary>Takes in all of the input and writes <see cref="NextOutputFrames"/> frames to the front of the output.</summary>
    /// <returns>The number of frames written.</returns>
    public int Process(ReadOnlyPlanarSpan input, PlanarSpan output)
    {
        var frames = NextOutputFrames(input.Frames);
        if (input.Channels != channels || output.Channels != channels)
            throw new ArgumentException($"The input has {input.Channels} channels, the output {output.Channels}; the resampler was made for {channels}.");
        if (input.Frames > MaxInputFrames)
            throw new ArgumentException($"The block has {input.Frames} frames; the resampler was made for up to {MaxInputFrames}.", nameof(input));
        if (output.Frames < frames)
            throw new ArgumentException($"The output has room for {output.Frames} frames; {frames} are due.", nameof(output));

        var origin = history.Append(input, SampleGuard.IsUsable(input)) - framesIn;
        framesIn += input.Frames;
        for (var frame = 0; frame < frames; frame++)
        {
            var time = TimeOf(framesOut + frame);
            var whole = (long)Math.Floor(time);
            if (whole + table.HalfLength < 0)
            {
                WriteSilence(output, frame);
                continue;
            }

            table.Evaluate(time - whole, ref taps.First);
            var earliest = (int)(origin + whole - table.HalfLength + 1);
            for (var channel = 0; channel < channels; channel++)
                output[channel][frame] = table.Apply(ref taps.First, ref history.At(channel, earliest));
        }

        framesOut += frames;
        return frames;
    }

    public void Reset()
    {
        history.Reset();
        (framesIn, framesOut) = (0, 0);
    }

    private static void WriteSilence(PlanarSpan output, int frame)
    {
        for (var channel = 0; channel < output.Channels; channel++)
            output[channel][frame] = 0;
    }

    private double TimeOf(long outputFrame) => StartFrames + outputFrame * StepFrames;
}
