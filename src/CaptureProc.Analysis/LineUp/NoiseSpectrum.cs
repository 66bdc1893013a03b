using CaptureProc.Dsp.LineUp;

namespace CaptureProc.Analysis.LineUp;

/// <summary>The noise of one channel band by band, held against pink.</summary>
/// <param name="SlopeDbPerOctave">Of the power density, 40 Hz to 16 kHz; −3.01 is pink.</param>
/// <param name="SlopeUncertaintyDb">Its standard error.</param>
/// <param name="WorstDb">The largest distance of a band from pink noise of the same level, 40 Hz to 16 kHz, beyond what chance explains; 0 where there is none.</param>
/// <param name="WorstHz">Where it is.</param>
internal sealed record NoiseSpectrum(double SlopeDbPerOctave, double SlopeUncertaintyDb, double WorstDb, double WorstHz)
{
    private const double FromHz = 38;
    private const double ToHz = 17000;
    private static readonly double PinkSlope = -10 * Math.Log10(2);

    /// <summary>Fits the bands of a channel in a feed that it took part in.</summary>
    public static NoiseSpectrum Of(ThirdOctaves bands, FeedRecord feed, int channel)
    {
        var pair = HopStatistics.Pair(channel, channel);
        var points = new List<(double Octave, double Db, double Sigma, double Hz)>();
        for (var band = 0; band < bands.Count; band++)
        {
            var power = feed.CrossRe[pair * bands.Count + band] / feed.HopCount / bands.BinsOf(band);
            if (bands.CentreHz[band] is < FromHz or > ToHz || !(power > 0))
                continue;
            points.Add((Math.Log2(bands.CentreHz[band]), 10 * Math.Log10(power), BandSigmaDb(bands, feed.HopCount, band), bands.CentreHz[band]));
        }
        if (points.Count < 3)
            return new NoiseSpectrum(double.NaN, double.PositiveInfinity, 0, 0);

        // The weight of a band is bounded: a generator's own small steps, not chance, limit the upper bands.
        var weights = points.Select(p => 1 / (p.Sigma * p.Sigma + 0.01)).ToArray();
        var sum = weights.Sum();
        var meanOctave = points.Zip(weights, (p, w) => w * p.Octave).Sum() / sum;
        var meanDb = points.Zip(weights, (p, w) => w * p.Db).Sum() / sum;
        var spread = points.Zip(weights, (p, w) => w * (p.Octave - meanOctave) * (p.Octave - meanOctave)).Sum();
        var slope = points.Zip(weights, (p, w) => w * (p.Octave - meanOctave) * (p.Db - meanDb)).Sum() / spread;
        var worst = points.MaxBy(p => Math.Abs(p.Db - meanDb) - 4 * p.Sigma);
        var beyond = Math.Max(0, Math.Abs(worst.Db - meanDb) - 4 * worst.Sigma);
        // Whitened pink noise is level: what is left of a slope comes on top of that of pink.
        return new NoiseSpectrum(PinkSlope + slope, Math.Sqrt(1 / spread), beyond > 0 ? worst.Db - meanDb : 0, worst.Hz);
    }

    /// <summary>What a band's level cannot help fluctuating by, in dB: 4.343/√(BT).</summary>
    /// <remarks>Hops overlap by half, so K hops last (K + 1)/2 frames, and a frame and a bin make BT = 1.</remarks>
    public static double BandSigmaDb(ThirdOctaves bands, int hops, int band) => 4.343 / Math.Sqrt(bands.BinsOf(band) * (hops + 1) / 2.0);
}
