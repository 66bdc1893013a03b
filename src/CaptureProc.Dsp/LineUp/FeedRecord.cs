using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>Everything heard while one set of channels carried the noise at unchanged gains.</summary>
/// <remarks>
/// Thread: whoever owns it. Allocates: in the constructor only. Memory: constant, however long the noise runs.
/// Besides the sums themselves the products of the hops' totals are summed: from them the scatter of any gain, and so
/// the uncertainty of its mean, can be told afterwards (<see cref="RelativeVarianceOfMean"/>).
/// A gain that is moved while the noise runs starts the record anew: what counts is how the recorder was left.
/// </remarks>
public sealed class FeedRecord
{
    private const int Recent = 8;
    private const int FirstLook = 3 * Recent;

    private readonly int mask;
    private readonly double[] products = FlatArray.New<double>(HopStatistics.PairCount * HopStatistics.PairCount);
    private readonly double[] recentLogs = FlatArray.New<double>(Recent * HopStatistics.MaxChannels);
    private readonly double[] logSums = new double[HopStatistics.MaxChannels];
    private readonly double[] stepSums = new double[HopStatistics.MaxChannels];
    private readonly double[] logs = new double[HopStatistics.MaxChannels];

    public FeedRecord(int mask, int bandCount)
    {
        this.mask = mask;
        (CrossRe, CrossIm) = (FlatArray.New<double>(HopStatistics.PairCount * bandCount), FlatArray.New<double>(HopStatistics.PairCount * bandCount));
    }

    public int HopCount { get; private set; }

    /// <summary>How often a gain was moved meanwhile.</summary>
    public int Restarts { get; private set; }

    public double[] Total { get; } = new double[HopStatistics.PairCount];

    public double[] CrossRe { get; }

    public double[] CrossIm { get; }

    public double[] MeanSquare { get; } = new double[HopStatistics.MaxChannels];

    public double[] Peak { get; } = new double[HopStatistics.MaxChannels];

    public int[] FlatTops { get; } = new int[HopStatistics.MaxChannels];

    /// <summary>Number of the first hop that counts.</summary>
    public long FirstIndex { get; private set; }

    /// <summary>Number of the hop that was added last.</summary>
    public long LastIndex { get; private set; }

    /// <summary>Adds a hop; true where it showed that a gain had been moved, so that the record began anew with it.</summary>
    public bool Add(HopStatistics hop)
    {
        TakeLogs(hop);
        var moved = HopCount >= FirstLook && HasStepped();
        if (moved)
        {
            Clear();
            Restarts++;
        }

        Sum(hop);
        var slot = HopCount % Recent;
        for (var v = 0; v < logs.Length; v++)
        {
            if (HopCount > 0)
            {
                var step = logs[v] - recentLogs[(HopCount - 1) % Recent * logs.Length + v];
                stepSums[v] += step * step;
            }
            logSums[v] += logs[v];
            recentLogs[slot * logs.Length + v] = logs[v];
        }
        if (HopCount++ == 0)
            FirstIndex = hop.Index;
        LastIndex = hop.Index;
        return moved;
    }

    /// <summary>Variance of Σ weight·(mean of total), for weights given per pair.</summary>
    /// <remarks>
    /// Hops overlap by half, and neighbours are correlated: under the sine window by 1/6 for the power of white noise
    /// (∫w²·w² shifted by half, over ∫w⁴), which makes the variance of a mean of K hops (4/3 − 1/(3K))/K of that of one.
    /// </remarks>
    public double VarianceOfMean(ReadOnlySpan<double> weights)
    {
        if (HopCount < 2)
            return double.PositiveInfinity;
        var (square, mean) = (0.0, 0.0);
        for (var p = 0; p < HopStatistics.PairCount; p++)
        {
            mean += weights[p] * Total[p] / HopCount;
            for (var q = 0; q < HopStatistics.PairCount; q++)
                square += weights[p] * weights[q] * products[p * HopStatistics.PairCount + q];
        }
        var variance = Math.Max(0, square / HopCount - mean * mean) * HopCount / (HopCount - 1);
        return variance * (4.0 / 3 - 1.0 / (3 * HopCount)) / HopCount;
    }

    public void Reset()
    {
        Clear();
        Restarts = 0;
    }

    public void CopyTo(FeedRecord other)
    {
        products.CopyTo(other.products, 0);
        Total.CopyTo(other.Total, 0);
        CrossRe.CopyTo(other.CrossRe, 0);
        CrossIm.CopyTo(other.CrossIm, 0);
        MeanSquare.CopyTo(other.MeanSquare, 0);
        Peak.CopyTo(other.Peak, 0);
        FlatTops.CopyTo(other.FlatTops, 0);
        (other.HopCount, other.Restarts, other.FirstIndex, other.LastIndex) = (HopCount, Restarts, FirstIndex, LastIndex);
    }

    private void Clear()
    {
        Array.Clear(products);
        Array.Clear(Total);
        Array.Clear(CrossRe);
        Array.Clear(CrossIm);
        Array.Clear(MeanSquare);
        Array.Clear(Peak);
        Array.Clear(FlatTops);
        Array.Clear(logSums);
        Array.Clear(stepSums);
        HopCount = 0;
    }

    private void Sum(HopStatistics hop)
    {
        for (var p = 0; p < HopStatistics.PairCount; p++)
        {
            Total[p] += hop.Total[p];
            for (var q = 0; q < HopStatistics.PairCount; q++)
                products[p * HopStatistics.PairCount + q] += hop.Total[p] * hop.Total[q];
        }
        for (var i = 0; i < CrossRe.Length; i++)
        {
            CrossRe[i] += hop.CrossRe[i];
            CrossIm[i] += hop.CrossIm[i];
        }
        for (var channel = 0; channel < HopStatistics.MaxChannels; channel++)
        {
            MeanSquare[channel] += hop.MeanSquare[channel];
            Peak[channel] = Math.Max(Peak[channel], hop.Peak[channel]);
            FlatTops[channel] += hop.FlatTops[channel];
        }
    }

    // The level of the first carrying channel, and that of the others against it: where all hear one noise, its own
    // fluctuations drop out and even a step of 0.02 dB shows.
    private void TakeLogs(HopStatistics hop)
    {
        var first = double.NaN;
        for (var channel = 0; channel < HopStatistics.MaxChannels; channel++)
        {
            logs[channel] = 0;
            if (!HopStatistics.Has(mask, channel))
                continue;
            var log = Math.Log(hop.Total[HopStatistics.Pair(channel, channel)]);
            logs[channel] = double.IsNaN(first) ? log : log - first;
            if (double.IsNaN(first))
                first = log;
        }
    }

    /// <summary>Whether the last hops lie apart from those before by more than chance does.</summary>
    private bool HasStepped()
    {
        var earlier = HopCount - Recent;
        for (var v = 0; v < logs.Length; v++)
        {
            var recent = 0.0;
            for (var k = 0; k < Recent; k++)
                recent += recentLogs[k * logs.Length + v];
            var apart = Math.Abs(recent / Recent - (logSums[v] - recent) / earlier);
            // Scatter from one hop to the next does not see slow changes, which is what this looks for. Seven sigma,
            // and at least 0.01 dB, which no gain control can be moved by.
            var sigma = Math.Sqrt(stepSums[v] / (2 * (HopCount - 1)));
            if (apart > 7 * sigma * Math.Sqrt(1.0 / Recent + 1.0 / earlier) + 0.0023)
                return true;
        }
        return false;
    }
}
