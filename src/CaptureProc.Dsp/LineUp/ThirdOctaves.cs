using System.Numerics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>The third-octave bands from 25 Hz to 20 kHz as runs of bins, and the weight that makes pink noise white.</summary>
/// <remarks>
/// Thread: [any]. Allocates: in the constructor only.
/// Shape: a frame lasts a sixth of a second or so, a power of two; band b holds the bins FirstBin[b] … FirstBin[b+1] − 1, and
/// the bands follow one another without gaps. At 44.1 kHz the band at 20 kHz reaches beyond Nyquist and is left out.
/// Source: IEC 61260-1:2014, centres 1000·G^(x/3), edges half a band away, G = 10^0.3.
/// </remarks>
public sealed class ThirdOctaves
{
    // 8192 frames at 44.1 and 48 kHz: a bin of 6 Hz parts the lowest bands, and a hop is short enough to watch a plug being moved.
    private const double ShortestFrameSeconds = 0.15;

    // The frequency decades of pink noise from 20 Hz to 20 kHz: ln 1000.
    private const double PinkSpan = 6.907755;

    private readonly int[] edges;
    private readonly double[] centresHz, weights;

    public ThirdOctaves(double sampleRateHz)
    {
        if (!(sampleRateHz is >= 8000 and <= 768000))
            throw new ArgumentOutOfRangeException(nameof(sampleRateHz), sampleRateHz, "The sample rate has to lie between 8 and 768 kHz.");
        FrameLength = (int)BitOperations.RoundUpToPowerOf2((uint)(ShortestFrameSeconds * sampleRateHz));
        BinHz = sampleRateHz / FrameLength;

        Span<int> firsts = stackalloc int[32];
        Span<double> centres = stackalloc double[32];
        var count = 0;
        for (var x = -16; x <= 13; x++)
        {
            var (low, high) = (EdgeHz(x - 0.5), EdgeHz(x + 0.5));
            if (high > 0.485 * sampleRateHz)
                break;
            firsts[count] = (int)Math.Ceiling(low / BinHz);
            firsts[count + 1] = (int)Math.Ceiling(high / BinHz);
            if (firsts[count + 1] > firsts[count])
                centres[count++] = EdgeHz(x);
        }
        edges = firsts[..(count + 1)].ToArray();
        centresHz = centres[..count].ToArray();

        // Scaled so that the weighted sum over all bins of a frame under a sine window is the mean square of the noise.
        weights = FlatArray.New<double>(FrameLength / 2 + 1);
        for (var k = edges[0]; k < edges[^1]; k++)
            weights[k] = 4 * PinkSpan * k / (BinCount * (double)FrameLength * FrameLength);
    }

    public int FrameLength { get; }

    /// <summary>Frames follow one another by half their length.</summary>
    public int HopLength => FrameLength / 2;

    public double BinHz { get; }

    public int Count => centresHz.Length;

    /// <summary>Bins in all bands together.</summary>
    public int BinCount => edges[^1] - edges[0];

    /// <summary>Band b starts at bin FirstBin[b] and ends before FirstBin[b + 1].</summary>
    public ReadOnlySpan<int> FirstBin => edges;

    public ReadOnlySpan<double> CentreHz => centresHz;

    /// <summary>One weight a bin, proportional to frequency; 0 outside the bands.</summary>
    public ReadOnlySpan<double> WhiteningWeight => weights;

    /// <summary>How many bins of weight a band has; the weighted power of pink noise is the same in every bin.</summary>
    public int BinsOf(int band) => edges[band + 1] - edges[band];

    private static double EdgeHz(double x) => 1000 * Math.Pow(10, 0.1 * x);
}
