using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.LineUp;

/// <summary>What one frame of all channels says about their levels and what they have in common.</summary>
/// <remarks>
/// Thread: whoever owns it. Allocates: in the constructor only.
/// Shape: pairs (i, j), i ≤ j, in the order of <see cref="Pair"/>; for every pair and band the whitened cross power, real and
/// imaginary (X_i·conj X_j), and its real sum over all bands. Unit: mean square, full scale 1.
/// </remarks>
public sealed class HopStatistics
{
    public const int MaxChannels = 4;
    public const int PairCount = MaxChannels * (MaxChannels + 1) / 2;

    public HopStatistics(int bandCount)
    {
        BandCount = bandCount;
        (CrossRe, CrossIm) = (FlatArray.New<double>(PairCount * bandCount), FlatArray.New<double>(PairCount * bandCount));
    }

    public int BandCount { get; }

    public double[] CrossRe { get; }

    public double[] CrossIm { get; }

    /// <summary>The whitened cross power over all bands: what gains are measured with.</summary>
    public double[] Total { get; } = new double[PairCount];

    /// <summary>Plain mean square of each channel, without weights.</summary>
    public double[] MeanSquare { get; } = new double[MaxChannels];

    /// <summary>Largest absolute sample.</summary>
    public double[] Peak { get; } = new double[MaxChannels];

    /// <summary>Places where the wave stands still at its top: three equal samples or more, or any at full scale.</summary>
    public int[] FlatTops { get; } = new int[MaxChannels];

    /// <summary>Channels that carry noise, one bit each.</summary>
    public int Carrying { get; set; }

    /// <summary>Number of the hop since the start.</summary>
    public long Index { get; set; }

    public static int Pair(int i, int j) => i <= j ? i * MaxChannels - i * (i - 1) / 2 + j - i : Pair(j, i);

    public static bool Has(int mask, int channel) => (mask >> channel & 1) != 0;
}
