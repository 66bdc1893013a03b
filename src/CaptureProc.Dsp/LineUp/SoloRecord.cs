using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>One channel while it alone carried the noise.</summary>
/// <remarks>Thread: whoever owns it. Allocates: in the constructor only.</remarks>
public sealed class SoloRecord
{
    private readonly int channel;
    private readonly double[] binPowers;

    public SoloRecord(ThirdOctaves bands, int channel)
    {
        this.channel = channel;
        (Bands, Feed, History) = (bands, new FeedRecord(1 << channel, bands.Count), new NoiseHistory(bands.Count));
        binPowers = FlatArray.New<double>(bands.FirstBin[^1]);
    }

    public ThirdOctaves Bands { get; }

    public FeedRecord Feed { get; }

    public NoiseHistory History { get; }

    /// <summary>Whitened power, summed over all hops.</summary>
    public double Power => Feed.Total[HopStatistics.Pair(channel, channel)];

    /// <summary>Whitened power of each bin, summed over <see cref="BinHops"/> hops.</summary>
    public ReadOnlySpan<double> BinPowers => binPowers;

    public int BinHops { get; private set; }

    /// <summary>Variance of the mean power over its square, from the scatter of the hops.</summary>
    public double RelativeVariance
    {
        get
        {
            Span<double> weights = stackalloc double[HopStatistics.PairCount];
            weights.Clear();
            weights[HopStatistics.Pair(channel, channel)] = Feed.HopCount / Power;
            return Feed.VarianceOfMean(weights);
        }
    }

    internal void Add(HopStatistics hop)
    {
        if (Feed.Add(hop))
        {
            History.Clear();
            ClearBins();
        }
        History.Add(hop, channel);
    }

    internal void AddBins(HopAnalyser analyser)
    {
        for (var bin = Bands.FirstBin[0]; bin < binPowers.Length; bin++)
            binPowers[bin] += analyser.BinPower(channel, bin);
        BinHops++;
    }

    internal void Reset()
    {
        Feed.Reset();
        History.Clear();
        ClearBins();
    }

    internal void CopyTo(SoloRecord other)
    {
        Feed.CopyTo(other.Feed);
        History.CopyTo(other.History);
        binPowers.CopyTo(other.binPowers, 0);
        other.BinHops = BinHops;
    }

    private void ClearBins()
    {
        Array.Clear(binPowers);
        BinHops = 0;
    }
}
