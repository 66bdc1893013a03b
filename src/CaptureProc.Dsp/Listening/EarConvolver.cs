using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Listening;

/// <summary>Convolves a field for two ears in real time, in whichever way the number of channels and the rate make sensible.</summary>
/// <remarks>
/// Thread: constructor and Publish [main], Process and Reset [audio]. Allocates: in the constructor and in Publish only.
/// In the time domain there is no latency beyond the filter's; where that would cost too much, by blocks of 2/3 ms.
/// </remarks>
internal sealed class EarConvolver
{
    // Taps of all channels a second: a few hundredths of a core. Third order at 48 kHz lies below, at 96 kHz above.
    private const double MaxDirectTapsPerSecond = 2e8;

    private const double BlockSeconds = 1.0 / 1500;

    private readonly DirectMatrixConvolver? direct;
    private readonly StreamingMatrixConvolver? blockwise;

    public EarConvolver(MatrixFilter filter, double sampleRateHz, int maxBlockFrames)
    {
        if (BlockFrames(filter.Inputs, filter.TapCount, sampleRateHz) == 0)
            direct = new DirectMatrixConvolver(new DirectFilter(filter), maxBlockFrames);
        else
            blockwise = new StreamingMatrixConvolver(new PartitionedFilter(filter, BlockFrames(filter.Inputs, filter.TapCount, sampleRateHz)));
    }

    public int LatencyFrames => direct?.LatencyFrames ?? blockwise!.LatencyFrames;

    public void Publish(MatrixFilter filter)
    {
        direct?.Publish(new DirectFilter(filter));
        blockwise?.Publish(new PartitionedFilter(filter, blockwise.BlockFrames));
    }

    public void Process(ReadOnlyPlanarSpan field, PlanarSpan ears)
    {
        if (direct != null)
            direct.Process(field, ears);
        else
            blockwise!.Process(field, ears);
    }

    public void Reset()
    {
        direct?.Reset();
        blockwise?.Reset();
    }

    /// <summary>The latency that the convolution adds to that of the filter: a block, or 0 in the time domain.</summary>
    public static int BlockFrames(int channels, int tapCount, double sampleRateHz)
    {
        if (channels * tapCount * sampleRateHz <= MaxDirectTapsPerSecond)
            return 0;
        var frames = 1;
        while (2 * frames <= BlockSeconds * sampleRateHz)
            frames *= 2;
        return frames;
    }
}
