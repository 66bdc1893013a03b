using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>Listens to line-up noise on up to four channels and files what it hears by the channels that carry it.</summary>
/// <remarks>
/// Thread: constructor [main], Process and Reset [audio]. Allocates: in the constructor only. Memory: constant.
/// Blocks of any length; how they are cut makes no difference. A block with a NaN or an infinity counts as silence.
/// A channel carries noise where it is above <see cref="QuietDbfs"/> and within <see cref="CrosstalkDb"/> of the loudest, now or a
/// while ago: so hum and hiss in the pauses do not pass for noise.
/// While a plug is being moved nothing is filed: a hop counts only once the same channels have carried for three hops before
/// it and two after it.
/// </remarks>
public sealed class LineUpMeter
{
    /// <summary>Below it there is only the amplifiers' own noise.</summary>
    public const double QuietDbfs = -60;

    /// <summary>What lies further below the loudest channel is taken for crosstalk.</summary>
    public const double CrosstalkDb = 30;

    private const double ForgottenDbPerSecond = 0.5;

    private const int HopsBefore = 3;
    private const int HopsAfter = 2;

    private readonly HopAnalyser analyser;
    private readonly HopStatistics[] recent = new HopStatistics[HopsAfter + 1];
    private int unchanged;
    private double loudestDbfs;

    public LineUpMeter(double sampleRateHz, int channels)
    {
        Record = new LineUpRecord(sampleRateHz, channels);
        analyser = new HopAnalyser(Record.Bands, channels);
        for (var i = 0; i < recent.Length; i++)
            recent[i] = new HopStatistics(Record.Bands.Count);
        Reset();
    }

    /// <summary>What has been heard; the audio thread's own, so copy it before another thread reads it.</summary>
    public LineUpRecord Record { get; }

    public void Process(ReadOnlyPlanarSpan block)
    {
        if (block.Channels != Record.ChannelCount)
            throw new ArgumentException($"The block has {block.Channels} channels; the meter was made for {Record.ChannelCount}.", nameof(block));
        var isUsable = SampleGuard.IsUsable(block);
        for (var done = 0; done < block.Frames;)
        {
            var newest = recent[(int)(Record.HopsHeard % recent.Length)];
            done += analyser.Take(block, done, isUsable, newest, out var isComplete);
            if (isComplete)
                File(newest);
        }
    }

    public void Reset()
    {
        analyser.Reset();
        Record.Reset();
        unchanged = 0;
        loudestDbfs = double.NegativeInfinity;
    }

    private void File(HopStatistics newest)
    {
        newest.Carrying = FindCarrying(newest);
        unchanged = newest.Carrying == Record.Carrying ? unchanged + 1 : 0;
        Record.Carrying = newest.Carrying;
        Record.HopsHeard++;
        if (newest.Carrying == 0 || unchanged < HopsBefore + HopsAfter)
            return;
        Record.Add(recent[(int)((newest.Index - HopsAfter) % recent.Length)], analyser);
    }

    private int FindCarrying(HopStatistics hop)
    {
        loudestDbfs -= ForgottenDbPerSecond * Record.HopSeconds;
        for (var channel = 0; channel < Record.ChannelCount; channel++)
        {
            // Whitened, so that rumble and plugs do not pass for noise.
            Record.LevelNowDbfs[channel] = 10 * Math.Log10(2 * hop.Total[HopStatistics.Pair(channel, channel)]);
            Record.LoudestDbfs[channel] = Math.Max(Record.LoudestDbfs[channel], Record.LevelNowDbfs[channel]);
            Record.QuietestDbfs[channel] = Math.Min(Record.QuietestDbfs[channel], Record.LevelNowDbfs[channel]);
            loudestDbfs = Math.Max(loudestDbfs, Record.LevelNowDbfs[channel]);
        }
        var mask = 0;
        for (var channel = 0; channel < Record.ChannelCount; channel++)
            if (Record.LevelNowDbfs[channel] > Math.Max(QuietDbfs, loudestDbfs - CrosstalkDb))
                mask |= 1 << channel;
        return mask;
    }
}
