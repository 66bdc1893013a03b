namespace CaptureProc.Dsp.LineUp;

/// <summary>All that the meter has heard so far: what gains, verdicts and faults are told from.</summary>
/// <remarks>
/// Thread: whoever owns it; <see cref="CopyTo"/> makes a copy for another thread without allocating. Memory: about 350 kB at 48 kHz.
/// Channels are counted from 0; sets of channels are bit masks.
/// </remarks>
public sealed class LineUpRecord
{
    private readonly FeedRecord[] feeds;
    private readonly SoloRecord[] solos;

    public LineUpRecord(double sampleRateHz, int channels)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(channels, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(channels, HopStatistics.MaxChannels);
        Bands = new ThirdOctaves(sampleRateHz);
        (SampleRateHz, ChannelCount) = (sampleRateHz, channels);
        solos = new SoloRecord[channels];
        feeds = new FeedRecord[1 << channels];
        for (var mask = 0; mask < feeds.Length; mask++)
            feeds[mask] = new FeedRecord(mask, Bands.Count);
        for (var channel = 0; channel < channels; channel++)
        {
            solos[channel] = new SoloRecord(Bands, channel);
            feeds[1 << channel] = solos[channel].Feed;
        }
        Reset();
    }

    public double SampleRateHz { get; }

    public int ChannelCount { get; }

    public ThirdOctaves Bands { get; }

    /// <summary>The channels that carry noise just now.</summary>
    public int Carrying { get; internal set; }

    /// <summary>Whitened level of each channel in the last hop, in dBFS (a full-scale sine reads 0).</summary>
    public double[] LevelNowDbfs { get; } = new double[HopStatistics.MaxChannels];

    /// <summary>The loudest hop of each channel.</summary>
    public double[] LoudestDbfs { get; } = new double[HopStatistics.MaxChannels];

    /// <summary>The quietest hop of each channel: what it carries when it is not fed.</summary>
    public double[] QuietestDbfs { get; } = new double[HopStatistics.MaxChannels];

    public long HopsHeard { get; internal set; }

    public double HopSeconds => Bands.HopLength / SampleRateHz;

    /// <summary>What was heard while exactly these channels carried noise.</summary>
    public FeedRecord Feed(int mask) => feeds[mask];

    /// <summary>What was heard while one channel alone carried noise.</summary>
    public SoloRecord Solo(int channel) => solos[channel];

    public void Reset()
    {
        foreach (var feed in feeds)
            feed.Reset();
        foreach (var solo in solos)
            solo.Reset();
        Array.Fill(LevelNowDbfs, double.NegativeInfinity);
        Array.Fill(LoudestDbfs, double.NegativeInfinity);
        Array.Fill(QuietestDbfs, double.PositiveInfinity);
        (Carrying, HopsHeard) = (0, 0);
    }

    /// <summary>Copies into a record made for the same rate and number of channels.</summary>
    public void CopyTo(LineUpRecord other)
    {
        if (other.ChannelCount != ChannelCount || other.SampleRateHz != SampleRateHz)
            throw new ArgumentException("The other record is for another rate or number of channels.", nameof(other));
        for (var mask = 0; mask < feeds.Length; mask++)
            feeds[mask].CopyTo(other.feeds[mask]);
        for (var channel = 0; channel < ChannelCount; channel++)
            solos[channel].CopyTo(other.solos[channel]);
        LevelNowDbfs.CopyTo(other.LevelNowDbfs, 0);
        LoudestDbfs.CopyTo(other.LoudestDbfs, 0);
        QuietestDbfs.CopyTo(other.QuietestDbfs, 0);
        (other.Carrying, other.HopsHeard) = (Carrying, HopsHeard);
    }

    /// <summary>Files a hop under the channels that carry it, with the fine spectrum of the newest where one carries alone.</summary>
    internal void Add(HopStatistics hop, HopAnalyser newest)
    {
        if (!int.IsPow2(hop.Carrying))
        {
            feeds[hop.Carrying].Add(hop);
            return;
        }
        var solo = solos[int.Log2(hop.Carrying)];
        solo.Add(hop);
        solo.AddBins(newest);
    }
}
