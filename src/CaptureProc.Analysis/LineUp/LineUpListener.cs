using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Wav;

namespace CaptureProc.Analysis.LineUp;

/// <summary>Runs a recording through the line-up meter, and keeps an eye on all channels that do not belong to the array.</summary>
/// <remarks>Thread: one at a time. Memory: constant but for the low ends, 32 kB a second of recording.</remarks>
public sealed class LineUpListener
{
    private const int BlockFrames = 8192;

    private readonly LowEnd[] lowEnds;
    private readonly double[] strayMeanSquares;

    private LineUpListener(LineUpRecord record, LowEnd[] lowEnds, double[] strayMeanSquares) =>
        (Record, this.lowEnds, this.strayMeanSquares) = (record, lowEnds, strayMeanSquares);

    public LineUpRecord Record { get; }

    /// <summary>Loudest sixth of a second of every channel of the recording that is not in the array; NaN for those that are.</summary>
    public IReadOnlyList<double> StrayLevelsDbfs => [.. strayMeanSquares.Select(m => 10 * Math.Log10(2 * m))];

    internal double LowRateHz => lowEnds[0].RateHz;

    /// <summary>Listens to a whole recording.</summary>
    /// <param name="input">The recording, from its beginning.</param>
    /// <param name="channels">The array's channels, counted from 1.</param>
    /// <param name="progress">Told the share that is done.</param>
    public static LineUpListener Hear(WavInput input, IReadOnlyList<int> channels, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(input);
        var meter = new LineUpMeter(input.SampleRateHz, channels.Count);
        var lowEnds = channels.Select(_ => new LowEnd(input.SampleRateHz)).ToArray();
        var stray = new double[input.ChannelCount];
        foreach (var channel in channels)
            stray[channel - 1] = double.NaN;

        var planar = new float[input.ChannelCount][];
        for (var channel = 0; channel < planar.Length; channel++)
            planar[channel] = new float[BlockFrames];
        var array = channels.Select(c => planar[c - 1]).ToArray();
        while (input.Read(planar, BlockFrames) is var frames and > 0)
        {
            meter.Process(new ReadOnlyPlanarSpan(array, 0, frames));
            for (var i = 0; i < array.Length; i++)
                lowEnds[i].Add(array[i].AsSpan(0, frames));
            for (var channel = 0; channel < planar.Length; channel++)
                if (!double.IsNaN(stray[channel]))
                    stray[channel] = Math.Max(stray[channel], SignalPower.SumOfSquares(planar[channel].AsSpan(0, frames)) / BlockFrames);
            progress?.Report((double)input.Position / input.FrameCount);
        }
        return new LineUpListener(meter.Record, lowEnds, stray);
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
