using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Analysis.RoomDecay;

/// <summary>Cuts an excerpt into octaves without moving anything in time.</summary>
/// <remarks>
/// Thread: one at a time. Shape: one transform of the whole excerpt; bands from 125 Hz to 4 kHz at IEC 61260-1 centres.
/// Edges are half cosines of a quarter octave in amplitude about the edges of the band, so that the answer in time is short: a
/// few periods of the bandwidth to either side. A causal filter would ring on into the decay; this one rings as much ahead of it,
/// where <see cref="ReachSeconds"/> says how far to look.
/// </remarks>
internal sealed class OctaveFilter
{
    private const double EdgeOctaves = 0.25;

    private readonly RealFft<double> fft;
    private readonly double[] re, im, bandRe, bandIm;
    private readonly double sampleRateHz;

    public OctaveFilter(int length, double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        fft = new RealFft<double>((int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)Math.Max(length, 2)));
        (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
        (bandRe, bandIm) = (new double[fft.BinCount], new double[fft.BinCount]);
        Samples = new double[fft.Size];
    }

    /// <summary>Nominal frequencies of the bands: those of ISO 3382-1, 4.</summary>
    public static IReadOnlyList<double> NominalHz { get; } = [125, 250, 500, 1000, 2000, 4000];

    /// <summary>The excerpt on the way in, a band of it on the way out.</summary>
    public double[] Samples { get; }

    public static double ReachSeconds(int band) => 2 / CentreHz(band);

    /// <summary>Takes the excerpt that stands in <see cref="Samples"/>.</summary>
    public void Take() => fft.Forward(Samples, re, im);

    /// <summary>Fills <see cref="Samples"/> with the squares of one band.</summary>
    public void FillSquares(int band)
    {
        Array.Clear(bandRe);
        Array.Clear(bandIm);
        // Only the bins of the band: there are two hundred thousand others.
        var (binHz, reach) = (sampleRateHz / fft.Size, Math.Pow(2, 0.5 + EdgeOctaves / 2));
        var last = Math.Min(re.Length - 1, (int)Math.Ceiling(reach * CentreHz(band) / binHz));
        for (var k = Math.Max(1, (int)(CentreHz(band) / reach / binHz)); k <= last; k++)
        {
            var octaves = Math.Abs(Math.Log2(k * binHz / CentreHz(band)));
            var x = (0.5 + EdgeOctaves / 2 - octaves) / EdgeOctaves;
            var gain = x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * Math.Cos(Math.PI * x);
            (bandRe[k], bandIm[k]) = (gain * re[k], gain * im[k]);
        }
        fft.Inverse(bandRe, bandIm, Samples);
        for (var n = 0; n < Samples.Length; n++)
            Samples[n] *= Samples[n];
    }

    private static double CentreHz(int band) => 1000 * Math.Pow(10, 0.3 * (band - 3));
}
