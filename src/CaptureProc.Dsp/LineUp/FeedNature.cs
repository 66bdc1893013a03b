namespace CaptureProc.Dsp.LineUp;

/// <summary>What it was that several channels heard at once.</summary>
public enum Nature
{
    /// <summary>Too short, or too few channels, to tell.</summary>
    Unknown,

    /// <summary>One electrical signal: coherence 1, no time between the channels. Its gains can be compared.</summary>
    OneNoise,

    /// <summary>Noises that have nothing in common.</summary>
    SeparateNoises,

    /// <summary>Neither: capsules that hear a room in different directions, or channels that lie apart in time.</summary>
    Room,
}

/// <summary>Tells a line-up through cables from a microphone in a room, so that a room is never levelled by mistake.</summary>
/// <remarks>
/// Thread: [any]. Allocates: never.
/// Through a cable all channels are the same wave but for gain and slow filters: coherence 1 in every band, and at high
/// frequencies no phase between them (or half a turn). Capsules a few centimetres apart that look in different directions hear
/// a diffuse field with a coherence that falls from about 2/3 to 0 (the closed form is in <see cref="Arrays.ArrayStatistics"/>); a
/// single source in a dead room with coherence 1 but fractions of a period apart. A capsule that is alone in being heard
/// gives itself away too: a room's transfer function goes up and down by 5.6 dB from one frequency to the next (Schroeder), an
/// electrical noise does not.
/// </remarks>
public static class FeedNature
{
    private const double SameCoherence = 0.98;
    private const double SeparateCoherence = 0.05;
    private const double CoherenceFromHz = 200;
    private const double PhaseFromHz = 2000;
    private const double MaxPhaseRad = 0.2;

    private const double RoughFromHz = 200;
    private const double RoughToHz = 6000;

    /// <summary>What the channels of a set heard while exactly they carried noise.</summary>
    /// <param name="record">What was heard.</param>
    /// <param name="mask">The set.</param>
    /// <param name="witnesses">Channels whose word counts: one that clips is like no other, whatever is fed.</param>
    public static Nature Judge(LineUpRecord record, int mask, int witnesses = -1)
    {
        var feed = record.Feed(mask);
        var asked = mask & witnesses;
        if (feed.HopCount < LineUpEstimator.MinHops || int.PopCount(asked) < 2)
            return Nature.Unknown;
        var (isOne, isSeparate) = (true, true);
        for (var i = 0; i < record.ChannelCount; i++)
        {
            for (var j = i + 1; j < record.ChannelCount; j++)
            {
                if (!HopStatistics.Has(asked, i) || !HopStatistics.Has(asked, j))
                    continue;
                isOne &= AreOne(record, feed, i, j);
                isSeparate &= MeanCoherence(record, feed, i, j) < SeparateCoherence + 2.0 / feed.HopCount;
            }
        }
        return isOne ? Nature.OneNoise : isSeparate ? Nature.SeparateNoises : Nature.Room;
    }

    /// <summary>Squared coherence of two channels in a band, 0…1.</summary>
    public static double Coherence(LineUpRecord record, FeedRecord feed, int i, int j, int band)
    {
        var at = HopStatistics.Pair(i, j) * record.Bands.Count + band;
        var powers = feed.CrossRe[HopStatistics.Pair(i, i) * record.Bands.Count + band] * feed.CrossRe[HopStatistics.Pair(j, j) * record.Bands.Count + band];
        return powers > 0 ? (feed.CrossRe[at] * feed.CrossRe[at] + feed.CrossIm[at] * feed.CrossIm[at]) / powers : 0;
    }

    /// <summary>Whether a channel that was heard alone had a signal as smooth as only a cable carries it.</summary>
    public static bool IsElectrical(SoloRecord solo) => Roughness(solo) < 2 * ExpectedRoughness(solo.BinHops) + 0.02;

    /// <summary>Mean square difference between a bin's log power and that of its neighbours two bins away, 200 Hz to 6 kHz.</summary>
    public static double Roughness(SoloRecord solo)
    {
        var powers = solo.BinPowers;
        var (sum, count) = (0.0, 0);
        var last = Math.Min(powers.Length - 2, (int)(RoughToHz / solo.Bands.BinHz));
        for (var bin = (int)(RoughFromHz / solo.Bands.BinHz); bin < last; bin++)
        {
            if (!(powers[bin - 2] > 0 && powers[bin] > 0 && powers[bin + 2] > 0))
                continue;
            var difference = Math.Log(powers[bin]) - 0.5 * Math.Log(powers[bin - 2] * powers[bin + 2]);
            sum += difference * difference;
            count++;
        }
        return count > 0 ? sum / count : double.PositiveInfinity;
    }

    /// <summary>The same for Gaussian noise of a smooth spectrum: 3/2 times the variance of a log power averaged over the hops.</summary>
    public static double ExpectedRoughness(int hops) => hops > 0 ? 1.5 * 1.2 / hops : double.PositiveInfinity;

    private static bool AreOne(LineUpRecord record, FeedRecord feed, int i, int j)
    {
        var bands = record.Bands;
        var pair = HopStatistics.Pair(i, j);
        var sign = Math.Sign(feed.Total[pair]);
        for (var band = 0; band < bands.Count; band++)
        {
            if (bands.CentreHz[band] > CoherenceFromHz && Coherence(record, feed, i, j, band) < SameCoherence)
                return false;
            var at = pair * bands.Count + band;
            var phase = Math.Atan2(sign * feed.CrossIm[at], sign * feed.CrossRe[at]);
            if (bands.CentreHz[band] > PhaseFromHz && Math.Abs(phase) > MaxPhaseRad)
                return false;
        }
        return true;
    }

    private static double MeanCoherence(LineUpRecord record, FeedRecord feed, int i, int j)
    {
        var (sum, count) = (0.0, 0);
        for (var band = 0; band < record.Bands.Count; band++)
        {
            if (record.Bands.CentreHz[band] <= CoherenceFromHz)
                continue;
            sum += Coherence(record, feed, i, j, band);
            count++;
        }
        return count > 0 ? sum / count : 0;
    }
}
