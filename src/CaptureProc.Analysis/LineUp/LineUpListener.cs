using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Wav;

namespace CaptureProc.Analysis.LineUp;

/// <summary>Runs a recording through the line-up meter, and keeps an eye on all channels that do not belong to the array.</summary>
/// <remarks>Thread: one at a time. Memory: constant but for the low ends, 32 kB a second of recording.</remarks>
public sealed class LineUpListener
{
    private const int BlockFrames = 8192;

    private readonly LineUpMeter meter;
    private readonly LowEnd[] lowEnds;
    private readonly int[] channels;
    private readonly float[][] array;
    private readonly double[] strayMeanSquares;
    private readonly BurstWatch bursts;

    /// <param name="sampleRateHz">Frames a second.</param>
    /// <param name="channelCount">Channels of the recording.</param>
    /// <param name="channels">The array's channels among them, counted from 1.</param>
    public LineUpListener(double sampleRateHz, int channelCount, IReadOnlyList<int> channels)
    {
        this.channels = [.. channels];
        meter = new LineUpMeter(sampleRateHz, channels.Count);
        bursts = new BurstWatch(sampleRateHz);
        lowEnds = [.. channels.Select(_ => new LowEnd(sampleRateHz))];
        array = new float[channels.Count][];
        strayMeanSquares = new double[channelCount];
        foreach (var channel in channels)
            strayMeanSquares[channel - 1] = double.NaN;
    }

    public LineUpRecord Record => meter.Record;

    /// <summary>Loudest sixth of a second of every channel of the recording that is not in the array; NaN for those that are.</summary>
    public IReadOnlyList<double> StrayLevelsDbfs => [.. strayMeanSquares.Select(m => 10 * Math.Log10(2 * m))];

    /// <summary>How many claps or taps the array heard; 0 where there is any sound that lasts.</summary>
    public int BurstCount => bursts.Count;

    internal double LowRateHz => lowEnds[0].RateHz;

    /// <summary>Listens to a whole recording.</summary>
    public static LineUpListener Of(WavInput input, IReadOnlyList<int> channels, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(input);
        var listener = new LineUpListener(input.SampleRateHz, input.ChannelCount, channels);
        var planar = new float[input.ChannelCount][];
        for (var channel = 0; channel < planar.Length; channel++)
            planar[channel] = new float[BlockFrames];
        var next = new float[input.ChannelCount][];
        for (var channel = 0; channel < planar.Length; channel++)
            next[channel] = new float[BlockFrames];
        // Two at a time: the meter on this block while the next one is read and the rest listens. The order of the sums stays the same.
        for (var frames = input.Read(planar, BlockFrames); frames > 0;)
        {
            listener.Choose(planar);
            var (heard, length) = (planar, frames);
            var beside = Task.Run(() =>
            {
                listener.HearBeside(heard, 0, length);
                return input.Read(next, BlockFrames);
            });
            try
            {
                listener.meter.Process(new ReadOnlyPlanarSpan(listener.array, 0, length));
            }
            finally
            {
                frames = beside.GetAwaiter().GetResult();
            }
            (planar, next) = (next, planar);
            progress?.Report((double)input.Position / input.FrameCount);
        }
        return listener;
    }

    /// <summary>Takes the next frames of all channels of the recording.</summary>
    public void Hear(float[][] planar, int firstFrame, int frames)
    {
        ArgumentNullException.ThrowIfNull(planar);
        Choose(planar);
        meter.Process(new ReadOnlyPlanarSpan(array, firstFrame, frames));
        HearBeside(planar, firstFrame, frames);
    }

    private void Choose(float[][] planar)
    {
        for (var i = 0; i < array.Length; i++)
            array[i] = planar[channels[i] - 1];
    }

    // What the meter does not need.
    private void HearBeside(float[][] planar, int firstFrame, int frames)
    {
        bursts.Hear(array, firstFrame, frames);
        for (var i = 0; i < array.Length; i++)
            lowEnds[i].Add(array[i].AsSpan(firstFrame, frames));
        for (var channel = 0; channel < planar.Length; channel++)
            if (!double.IsNaN(strayMeanSquares[channel]))
                strayMeanSquares[channel] = Math.Max(strayMeanSquares[channel],
                    SignalPower.SumOfSquares(planar[channel].AsSpan(firstFrame, frames)) / Math.Max(frames, BlockFrames));
    }

    /// <summary>The low end of a channel of the array between two hops.</summary>
    internal float[] LowEnd(int channel, long firstHop, long lastHop)
    {
        var lowEnd = lowEnds[channel];
        var from = (int)(firstHop * Record.Bands.HopLength / lowEnd.Step);
        var to = (int)Math.Min((lastHop * Record.Bands.HopLength + Record.Bands.FrameLength) / lowEnd.Step, lowEnd.Kept.Count);
        return [.. lowEnd.Kept.Skip(from).Take(Math.Max(0, to - from))];
    }
}
