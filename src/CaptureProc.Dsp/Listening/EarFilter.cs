using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Dsp.Listening;

/// <summary>A head's filter for one rate, ready for the convolution that the number of channels and the rate make sensible.</summary>
/// <remarks>
/// Thread: [main] to make; immutable and [any] afterwards, so one object serves any number of listeners.
/// Without latency beyond the filter's; where that would cost too much, by blocks of 2/3 ms.
/// </remarks>
public sealed class EarFilter
{
    // Taps of all channels a second: a few hundredths of a core. Third order at 48 kHz lies below, at 96 kHz above.
    private const double MaxPromptTapsPerSecond = 2e8;

    private const double BlockSeconds = 1.0 / 1500;

    public EarFilter(MatrixFilter filter, double sampleRateHz)
    {
        ArgumentNullException.ThrowIfNull(filter);
        (Inputs, TapCount) = (filter.Inputs, filter.TapCount);
        var block = BlockFrames(filter.Inputs, filter.TapCount, sampleRateHz);
        if (block == 0)
            Prompt = new SplitFilter(filter);
        else
            Blockwise = new PartitionedFilter(filter, block);
    }

    /// <summary>Channels of the field.</summary>
    public int Inputs { get; }

    public int TapCount { get; }

    internal SplitFilter? Prompt { get; }

    internal PartitionedFilter? Blockwise { get; }

    /// <summary>The latency that the convolution adds to that of the filter: a block, or 0.</summary>
    public static int BlockFrames(int channels, int tapCount, double sampleRateHz)
    {
        if (channels * tapCount * sampleRateHz <= MaxPromptTapsPerSecond)
            return 0;
        var frames = 1;
        while (2 * frames <= BlockSeconds * sampleRateHz)
            frames *= 2;
        return frames;
    }
}
