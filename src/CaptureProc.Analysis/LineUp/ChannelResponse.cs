using CaptureProc.Dsp.LineUp;

namespace CaptureProc.Analysis.LineUp;

/// <summary>Whether each channel has the same gain at low, middle and high frequencies as the others.</summary>
/// <remarks>
/// Held against the middle one of all channels, so that a low-cut in the reference is found in the reference.
/// Heard at once, a band's gain comes from cross powers with a third channel, as the gain itself does; heard in turn, from the powers.
/// </remarks>
internal sealed class ChannelResponse
{
    private readonly ThirdOctaves bands;
    private readonly double[][] db;
    private readonly double[][] sigmaDb;

    private ChannelResponse(ThirdOctaves bands, double[][] db, double[][] sigmaDb) => (this.bands, this.db, this.sigmaDb) = (bands, db, sigmaDb);

    /// <summary>Responses of the channels of one feed.</summary>
    public static ChannelResponse AtOnce(ThirdOctaves bands, FeedRecord feed, IReadOnlyList<int> channels)
    {
        var response = Empty(bands, channels.Count);
        for (var i = 0; i < channels.Count; i++)
        {
            for (var band = 0; band < bands.Count; band++)
            {
                // |C_ik|·|C_it|/|C_kt| is the channel's own power without what its amplifier adds, for any two others k and t.
                var (log, residual, partners) = (0.0, 0.0, 0);
                for (var k = 0; k < channels.Count; k++)
                {
                    if (k == i)
                        continue;
                    var third = Enumerable.Range(0, channels.Count).FirstOrDefault(t => t != i && t != k, k);
                    log += Math.Log(Magnitude(bands, feed, channels[i], channels[k], band) * Magnitude(bands, feed, channels[i], channels[third], band)
                        / Math.Max(double.Epsilon, Magnitude(bands, feed, channels[k], channels[third], band))) / 2;
                    var coherence = Coherence(bands, feed, channels[i], channels[k], band);
                    residual += (1 - coherence) / Math.Max(0.01, coherence);
                    partners++;
                }
                response.db[i][band] = 8.686 * log / partners;
                response.sigmaDb[i][band] = NoiseSpectrum.BandSigmaDb(bands, feed.HopCount, band) * Math.Sqrt(2 * Math.Max(0, residual / partners));
            }
        }
        return response.AgainstTheMiddleOne();
    }

    /// <summary>Responses of channels that were each heard alone.</summary>
    public static ChannelResponse InTurn(LineUpRecord record, IReadOnlyList<int> channels)
    {
        var bands = record.Bands;
        var response = Empty(bands, channels.Count);
        for (var i = 0; i < channels.Count; i++)
        {
            var feed = record.Solo(channels[i]).Feed;
            for (var band = 0; band < bands.Count; band++)
            {
                response.db[i][band] = 10 * Math.Log10(feed.CrossRe[HopStatistics.Pair(channels[i], channels[i]) * bands.Count + band] / feed.HopCount);
                response.sigmaDb[i][band] = NoiseSpectrum.BandSigmaDb(bands, feed.HopCount, band) * Math.Sqrt(2);
            }
        }
        return response.AgainstTheMiddleOne();
    }

    /// <summary>What is wrong with one of the channels, in words; null where nothing is.</summary>
    /// <param name="i">Which, in the order given.</param>
    /// <param name="toleranceDb">Differences below it are let pass.</param>
    public string? Problem(int i, double toleranceDb)
    {
        var (low, lowSigma) = Mean(i, 0, 130);
        var (middle, middleSigma) = Mean(i, 400, 2500);
        var (high, highSigma) = Mean(i, 7000, 25000);
        var atLow = low - middle;
        var atHigh = high - middle;
        if (Math.Abs(atLow) > Math.Max(toleranceDb, 4 * Math.Sqrt(lowSigma * lowSigma + middleSigma * middleSigma)))
        {
            return CornerHz(i, middle) is { } corner
                ? FormattableString.Invariant($"a low-cut is in: 3 dB down at about {corner:0} Hz; switch it off and measure again")
                : FormattableString.Invariant($"the gain below 125 Hz differs by {atLow:+0.00;-0.00;0.00} dB from that at 1 kHz, against the other channels: a low-cut, a transformer or another input; mend it, a trim cannot");
        }
        return Math.Abs(atHigh) > Math.Max(toleranceDb, 4 * Math.Sqrt(highSigma * highSigma + middleSigma * middleSigma))
            ? FormattableString.Invariant($"the gain above 8 kHz differs by {atHigh:+0.00;-0.00;0.00} dB from that at 1 kHz, against the other channels: a filter, a long cable or another input; mend it, a trim cannot")
            : null;
    }

    private static ChannelResponse Empty(ThirdOctaves bands, int channels) => new(bands,
        [.. Enumerable.Range(0, channels).Select(_ => new double[bands.Count])], [.. Enumerable.Range(0, channels).Select(_ => new double[bands.Count])]);

    private static double Magnitude(ThirdOctaves bands, FeedRecord feed, int i, int j, int band)
    {
        var at = HopStatistics.Pair(i, j) * bands.Count + band;
        return Math.Sqrt(feed.CrossRe[at] * feed.CrossRe[at] + feed.CrossIm[at] * feed.CrossIm[at]);
    }

    private static double Coherence(ThirdOctaves bands, FeedRecord feed, int i, int j, int band)
    {
        var cross = Magnitude(bands, feed, i, j, band);
        return cross * cross / (Magnitude(bands, feed, i, i, band) * Magnitude(bands, feed, j, j, band));
    }

    private ChannelResponse AgainstTheMiddleOne()
    {
        // Each channel first against its own middle frequencies: what is compared is the shape, not the gain.
        for (var i = 0; i < db.Length; i++)
        {
            var (own, _) = Mean(i, 400, 2500);
            for (var band = 0; band < bands.Count; band++)
                db[i][band] -= own;
        }
        for (var band = 0; band < bands.Count; band++)
        {
            var sorted = db.Select(r => r[band]).Order().ToArray();
            var middle = 0.5 * (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]);
            foreach (var row in db)
                row[band] -= middle;
        }
        return this;
    }

    private (double Db, double Sigma) Mean(int i, double fromHz, double toHz)
    {
        var (sum, weightSum) = (0.0, 0.0);
        for (var band = 0; band < bands.Count; band++)
        {
            if (bands.CentreHz[band] < fromHz || bands.CentreHz[band] > toHz)
                continue;
            var weight = 1 / (sigmaDb[i][band] * sigmaDb[i][band] + 1e-6);
            sum += weight * db[i][band];
            weightSum += weight;
        }
        return weightSum > 0 ? (sum / weightSum, Math.Sqrt(1 / weightSum)) : (0, double.PositiveInfinity);
    }

    // Where a channel that only falls towards the low end passes 3 dB.
    private double? CornerHz(int i, double middle)
    {
        for (var band = bands.Count - 2; band >= 0; band--)
        {
            var (here, above) = (db[i][band] - middle, db[i][band + 1] - middle);
            if (bands.CentreHz[band] > 500 || here > -3 || above <= -3)
                continue;
            return bands.CentreHz[band] * Math.Pow(bands.CentreHz[band + 1] / bands.CentreHz[band], (-3 - here) / (above - here));
        }
        return null;
    }
}
