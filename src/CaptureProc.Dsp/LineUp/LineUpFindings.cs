namespace CaptureProc.Dsp.LineUp;

/// <summary>What the record says of the line-up as a whole: how the noise was fed, every gain, and whether trims may be made of it.</summary>
/// <remarks>
/// Thread: one at a time; on a copy of the record, or where the record is not written meanwhile. Allocates: in the constructor only.
/// Channels are counted from 0. The command line and the plug-in judge by this and by nothing else, so they cannot disagree.
/// </remarks>
public sealed class LineUpFindings
{
    // Fewer flat tops than these happen by chance, where two neighbouring samples are equal at the top of the wave.
    private const int LeastFlatTops = 3;

    // Generators that bound their crest factor by clipping stay below it; a converter that clips is at full scale.
    private const double GeneratorPeak = 0.9;

    private readonly LineUpEstimator estimator;
    private readonly GainDifference[] gains;
    private readonly bool[] fed, flatTopped;

    public LineUpFindings(ThirdOctaves bands, int channels)
    {
        estimator = new LineUpEstimator(bands);
        (gains, fed, flatTopped) = (new GainDifference[channels], new bool[channels], new bool[channels]);
    }

    /// <summary>The channels that were fed at once, a bit each; 0 where the noise was moved from one to the next.</summary>
    public int Together { get; private set; }

    /// <summary>What the channels heard that were fed at once for longest.</summary>
    public Nature Nature { get; private set; }

    /// <summary>A microphone in a room, or channels that are not in time: nothing is derived from it.</summary>
    public bool IsRoom { get; private set; }

    /// <summary>The tops are flat on every fed channel, and below full scale: that is how the noise was made.</summary>
    public bool IsClippedByGenerator { get; private set; }

    /// <summary>A channel is clipped, and not by the generator.</summary>
    public bool IsAnyClipped { get; private set; }

    /// <summary>Every channel has a gain, and none is without signal or clipped: half a line-up is none.</summary>
    public bool HasTrims { get; private set; }

    /// <summary>Gain of a channel over the reference.</summary>
    public GainDifference Gain(int channel) => gains[channel];

    /// <summary>Whether the noise was on the channel for long enough, by itself or together with the others.</summary>
    public bool IsFed(int channel) => fed[channel];

    public bool IsClipped(int channel) => flatTopped[channel] && !IsClippedByGenerator;

    /// <summary>Judges what has been heard so far.</summary>
    public void Read(LineUpRecord record, int reference)
    {
        Take(record, LongestTogether(record));
        Nature = Together == 0 ? Nature.Unknown : FeedNature.Judge(record, Together, ~ClippedChannels);
        // Where both happened, what lasted longer was meant.
        if (Nature != Nature.OneNoise && AreAllHeardAlone(record))
            Take(record, 0);
        IsRoom = Together != 0 ? Nature == Nature.Room : IsAnyRough(record);
        HasTrims = !IsRoom;
        for (var channel = 0; channel < gains.Length; channel++)
        {
            gains[channel] = IsRoom ? default : estimator.Difference(record, reference, channel);
            HasTrims &= gains[channel].Way != LineUpWay.None && fed[channel] && !IsClipped(channel);
        }
    }

    /// <summary>What a channel heard in the way that counts.</summary>
    public FeedRecord FeedOf(LineUpRecord record, int channel) =>
        HopStatistics.Has(Together, channel) ? record.Feed(Together) : record.Solo(channel).Feed;

    /// <summary>Within where every channel is, out where one is, else not to be told yet.</summary>
    public ToleranceVerdict Judge(double toleranceDb)
    {
        var verdict = ToleranceVerdict.Within;
        foreach (var gain in gains)
        {
            if (!HasTrims)
                return ToleranceVerdict.CannotTell;
            var own = gain.Judge(toleranceDb);
            if (own == ToleranceVerdict.Out)
                return own;
            if (own == ToleranceVerdict.CannotTell)
                verdict = own;
        }
        return verdict;
    }

    private int ClippedChannels
    {
        get
        {
            var mask = 0;
            for (var channel = 0; channel < gains.Length; channel++)
                mask |= IsClipped(channel) ? 1 << channel : 0;
            return mask;
        }
    }

    // Which channels have been fed in one way or the other, and which of them clip.
    private void Take(LineUpRecord record, int together)
    {
        Together = together;
        var (all, any) = (true, false);
        for (var channel = 0; channel < gains.Length; channel++)
        {
            var feed = FeedOf(record, channel);
            fed[channel] = feed.HopCount >= LineUpEstimator.MinHops;
            flatTopped[channel] = fed[channel] && feed.FlatTops[channel] >= LeastFlatTops;
            all &= !fed[channel] || (flatTopped[channel] && feed.Peak[channel] < GeneratorPeak);
            any |= flatTopped[channel];
        }
        (IsClippedByGenerator, IsAnyClipped) = (any && all, any && !all);
    }

    private bool AreAllHeardAlone(LineUpRecord record)
    {
        for (var channel = 0; channel < gains.Length; channel++)
            if (record.Solo(channel).Feed.HopCount < LineUpEstimator.MinHops)
                return false;
        return true;
    }

    // What is left of a clipped channel is no reason to take the recording for a room.
    private bool IsAnyRough(LineUpRecord record)
    {
        for (var channel = 0; channel < gains.Length; channel++)
            if (record.Solo(channel).Feed.HopCount >= LineUpEstimator.MinHops && !IsClipped(channel) && !FeedNature.IsElectrical(record.Solo(channel)))
                return true;
        return false;
    }

    private static int LongestTogether(LineUpRecord record)
    {
        var best = 0;
        for (var mask = 1; mask < 1 << record.ChannelCount; mask++)
            if (int.PopCount(mask) > 2 && record.Feed(mask).HopCount >= LineUpEstimator.MinHops
                && (best == 0 || record.Feed(mask).HopCount > record.Feed(best).HopCount))
                best = mask;
        return best;
    }
}
