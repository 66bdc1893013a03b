using System.Numerics;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Wav;

namespace CaptureProc.Analysis.LineUp;

/// <summary>Long-term cross powers of four capsules in a room, band by band.</summary>
/// <remarks>
/// Every hop counts alike, however loud it was: each is brought to one mean power over the capsules before it is added, or else
/// the loudest clap of the applause would decide where the sound came from. Hops in the noise floor are left out.
/// </remarks>
public sealed class DiffuseStatistics
{
    private const int BlockFrames = 8192;
    private const double QuietMeanSquare = 0.5e-7;

    private readonly Complex[] cross;
    private readonly double[] meanSquares;
    private readonly HopAnalyser analyser;
    private readonly HopStatistics hop;

    public DiffuseStatistics(double sampleRateHz, int channels)
    {
        (Bands, ChannelCount) = (new ThirdOctaves(sampleRateHz), channels);
        (analyser, hop) = (new HopAnalyser(Bands, channels), new HopStatistics(Bands.Count));
        cross = new Complex[Bands.Count * channels * channels];
        meanSquares = new double[channels];
    }

    public ThirdOctaves Bands { get; }

    public int ChannelCount { get; }

    public int HopCount { get; private set; }

    /// <summary>Plain mean square of a channel over the hops that count.</summary>
    public double MeanSquare(int channel) => meanSquares[channel] / Math.Max(1, HopCount);

    /// <summary>Mean of X_i·conj X_j in a band over the mean power of the capsules.</summary>
    public Complex Cross(int band, int i, int j) => cross[(band * ChannelCount + i) * ChannelCount + j] / Math.Max(1, HopCount);

    /// <summary>Statistics of a recording.</summary>
    /// <param name="input">The recording, from its beginning.</param>
    /// <param name="channels">The array's channels, counted from 1.</param>
    /// <param name="progress">Told the share that is done.</param>
    public static DiffuseStatistics Of(WavInput input, IReadOnlyList<int> channels, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(input);
        var statistics = new DiffuseStatistics(input.SampleRateHz, channels.Count);
        var planar = new float[]?[input.ChannelCount];
        foreach (var channel in channels)
            planar[channel - 1] = new float[BlockFrames];
        var array = channels.Select(c => planar[c - 1]!).ToArray();
        while (input.Read(planar, BlockFrames) is var frames and > 0)
        {
            statistics.Hear(new ReadOnlyPlanarSpan(array, 0, frames));
            progress?.Report((double)input.Position / input.FrameCount);
        }
        return statistics;
    }

    /// <summary>Adds the next stretch of the recording.</summary>
    public void Hear(ReadOnlyPlanarSpan block)
    {
        for (var done = 0; done < block.Frames;)
        {
            done += analyser.Take(block, done, true, hop, out var isComplete);
            if (isComplete)
                Add();
        }
    }

    private void Add()
    {
        if (hop.MeanSquare.Take(ChannelCount).Max() < QuietMeanSquare)
            return;
        HopCount++;
        for (var channel = 0; channel < ChannelCount; channel++)
            meanSquares[channel] += hop.MeanSquare[channel];
        for (var band = 0; band < Bands.Count; band++)
        {
            var power = 0.0;
            for (var i = 0; i < ChannelCount; i++)
                power += hop.CrossRe[HopStatistics.Pair(i, i) * Bands.Count + band] / ChannelCount;
            if (!(power > 0))
                continue;
            for (var i = 0; i < ChannelCount; i++)
            {
                for (var j = i; j < ChannelCount; j++)
                {
                    var at = HopStatistics.Pair(i, j) * Bands.Count + band;
                    var value = new Complex(hop.CrossRe[at], hop.CrossIm[at]) / power;
                    cross[(band * ChannelCount + i) * ChannelCount + j] += value;
                    if (i != j)
                        cross[(band * ChannelCount + j) * ChannelCount + i] += Complex.Conjugate(value);
                }
            }
        }
    }
}
