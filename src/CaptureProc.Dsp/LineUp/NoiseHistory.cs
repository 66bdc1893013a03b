using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>The last hops of a channel that carried the noise alone: power by band, hop by hop.</summary>
/// <remarks>
/// Thread: whoever owns it. Allocates: in the constructor only. Shape: up to <see cref="Capacity"/> hops without a gap, oldest
/// first; a gap starts it anew. It is what a stretch of noise is recognised by when it comes again.
/// </remarks>
public sealed class NoiseHistory
{
    /// <summary>14 s at 48 kHz: a little more than the ten seconds that a channel is usually given.</summary>
    public const int Capacity = 160;

    private readonly int bandCount;
    private readonly float[] powers;
    private readonly double[] totals = FlatArray.New<double>(Capacity);
    private long lastIndex;

    public NoiseHistory(int bandCount)
    {
        this.bandCount = bandCount;
        powers = FlatArray.New<float>(Capacity * bandCount);
    }

    public int Count { get; private set; }

    private int Newest { get; set; } = -1;

    /// <summary>The whitened power of a hop, counted from the oldest.</summary>
    public double Total(int hop) => totals[Slot(hop)];

    public ReadOnlySpan<float> Bands(int hop) => powers.AsSpan(Slot(hop) * bandCount, bandCount);

    public void Add(HopStatistics hop, int channel)
    {
        if (Count > 0 && hop.Index != lastIndex + 1)
            Clear();
        Newest = (Newest + 1) % Capacity;
        Count = Math.Min(Count + 1, Capacity);
        lastIndex = hop.Index;
        var pair = HopStatistics.Pair(channel, channel);
        totals[Newest] = hop.Total[pair];
        for (var band = 0; band < bandCount; band++)
            powers[Newest * bandCount + band] = (float)hop.CrossRe[pair * bandCount + band];
    }

    public void Clear() => Count = 0;

    public void CopyTo(NoiseHistory other)
    {
        powers.CopyTo(other.powers, 0);
        totals.CopyTo(other.totals, 0);
        (other.Count, other.Newest, other.lastIndex) = (Count, Newest, lastIndex);
    }

    private int Slot(int hop) => (Newest - Count + 1 + hop + Capacity) % Capacity;
}
