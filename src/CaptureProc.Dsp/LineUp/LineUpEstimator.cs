namespace CaptureProc.Dsp.LineUp;

/// <summary>Gain differences between channels out of what the meter has heard.</summary>
/// <remarks>
/// Thread: one at a time; on a copy of the record, or on the audio thread itself. Allocates: in the constructor only.
/// Heard at once: the gain of a channel over the reference is C_ik/C_rk with any third channel k, where C is the whitened
/// cross power. What the amplifiers add is not shared, so it drops out of the mean of C, and the result has no bias from noise,
/// as a ratio of powers would. Heard in turn: half the ratio of whitened powers. Whitening makes all bins count alike; the
/// power of pink noise itself hangs on its few lowest octaves and needs 25 times as long.
/// Intervals come from the scatter of the hops that were measured, not from an assumption about the noise.
/// </remarks>
public sealed class LineUpEstimator
{
    /// <summary>Half a second: below it nothing is said.</summary>
    public const int MinHops = 6;

    private const double DbPerNeper = 8.685889638;

    private readonly NoiseMatch match;

    public LineUpEstimator(ThirdOctaves bands) => match = new NoiseMatch(bands.Count);

    /// <summary>The set of channels under which a channel and the reference were heard together for longest; 0 where never.</summary>
    public static int FindTogether(LineUpRecord record, int reference, int channel)
    {
        var (best, bestHops) = (0, MinHops - 1);
        for (var mask = 0; mask < 1 << record.ChannelCount; mask++)
        {
            if (!HopStatistics.Has(mask, reference) || !HopStatistics.Has(mask, channel) || record.Feed(mask).HopCount <= bestHops)
                continue;
            // Two channels alone may be one signal on two tracks: that is no line-up.
            if (record.ChannelCount > 2 && int.PopCount(mask) < 3)
                continue;
            (best, bestHops) = (mask, record.Feed(mask).HopCount);
        }
        return best;
    }

    public GainDifference Difference(LineUpRecord record, int reference, int channel)
    {
        var together = FindTogether(record, reference, channel);
        if (together != 0 && FeedNature.Judge(record, together) == Nature.OneNoise)
            return AtOnce(record, together, reference, channel);
        if (channel == reference)
            return record.Solo(channel).Feed.HopCount < MinHops ? default
                : new GainDifference(0, 0, LineUpWay.InTurn, record.Solo(channel).Feed.HopCount * record.HopSeconds, false);
        var difference = InTurn(record.Solo(reference), record.Solo(channel), record.HopSeconds);
        return difference with { UncertaintyDb = difference.UncertaintyDb + FloorDb(record, reference) + FloorDb(record, channel) };
    }

    /// <summary>Gain of a channel over the reference where each carried the noise alone.</summary>
    public GainDifference InTurn(SoloRecord reference, SoloRecord channel, double hopSeconds)
    {
        var (a, b) = (reference.Feed.HopCount, channel.Feed.HopCount);
        if (Math.Min(a, b) < MinHops || !FeedNature.IsElectrical(reference) || !FeedNature.IsElectrical(channel))
            return default;

        // 1/(BT) for the time of a hop, half a frame: what a hop's worth of noise cannot help fluctuating by.
        var hopPowerVariance = 2.0 / reference.Bands.BinCount;
        if (match.TryCompare(reference.History, channel.History, hopPowerVariance, out var sameLog, out var sameVariance, out var overlap))
        {
            return new GainDifference(DbPerNeper / 2 * sameLog, DbPerNeper / 2 * Confidence95.Factor(1000) * Math.Sqrt(sameVariance),
                LineUpWay.InTurnSameNoise, overlap * hopSeconds, false);
        }

        var log = Math.Log(channel.Power / b / (reference.Power / a));
        var (varianceA, varianceB) = (reference.RelativeVariance, channel.RelativeVariance);
        // Welch and Satterthwaite: the degrees of freedom of a sum of two estimated variances.
        var variance = varianceA + varianceB;
        var freedom = variance * variance / (varianceA * varianceA / (a - 1) + varianceB * varianceB / (b - 1));
        return new GainDifference(DbPerNeper / 2 * log, DbPerNeper / 2 * Confidence95.Factor(freedom) * Math.Sqrt(variance),
            LineUpWay.InTurn, Math.Min(a, b) * hopSeconds, false);
    }

    // What the amplifier adds raises the power of a channel that is heard alone; it is known from the time when the channel was
    // not fed, but not whether that is all, so it widens the interval instead of being taken off.
    private static double FloorDb(LineUpRecord record, int channel)
    {
        var solo = record.Solo(channel);
        var signal = 2 * solo.Power / Math.Max(1, solo.Feed.HopCount);
        var floor = Math.Pow(10, record.QuietestDbfs[channel] / 10);
        return signal > 0 && floor < 0.1 * signal ? DbPerNeper / 2 * floor / signal : 0;
    }

    private static GainDifference AtOnce(LineUpRecord record, int mask, int reference, int channel)
    {
        var feed = record.Feed(mask);
        var seconds = feed.HopCount * record.HopSeconds;
        var own = feed.Total[HopStatistics.Pair(reference, channel)];
        if (channel == reference)
            return new GainDifference(0, 0, LineUpWay.AtOnce, seconds, false);

        Span<double> weights = stackalloc double[HopStatistics.PairCount];
        weights.Clear();
        var (log, thirds) = (0.0, 0);
        for (var third = 0; third < record.ChannelCount; third++)
        {
            if (third == reference || third == channel || !HopStatistics.Has(mask, third))
                continue;
            var (numerator, denominator) = (HopStatistics.Pair(channel, third), HopStatistics.Pair(reference, third));
            log += Math.Log(Math.Abs(feed.Total[numerator] / feed.Total[denominator]));
            // ln C changes by dC/C: these weights turn totals into changes of the log ratio.
            weights[numerator] += feed.HopCount / feed.Total[numerator];
            weights[denominator] -= feed.HopCount / feed.Total[denominator];
            thirds++;
        }
        if (thirds == 0)
        {
            // Two channels: nobody else to ask, so their powers have to do.
            var (numerator, denominator) = (HopStatistics.Pair(channel, channel), HopStatistics.Pair(reference, reference));
            log = Math.Log(feed.Total[numerator] / feed.Total[denominator]);
            weights[numerator] = feed.HopCount / feed.Total[numerator];
            weights[denominator] = -feed.HopCount / feed.Total[denominator];
            thirds = 2;
        }
        var sigma = Math.Sqrt(feed.VarianceOfMean(weights)) / thirds;
        return new GainDifference(DbPerNeper * log / thirds, DbPerNeper * Confidence95.Factor(feed.HopCount - 1) * sigma,
            LineUpWay.AtOnce, seconds, own < 0);
    }
}
