namespace CaptureProc.Dsp.Convolution;

/// <summary>How a spectrum lies in memory: the real parts, then the imaginary parts, each padded to whole groups of bins.</summary>
internal static class SpectrumRow
{
    /// <summary>Two vectors of 256 bits: the kernel that multiplies spectra has no remainder to treat.</summary>
    private const int BinGroup = 16;

    public static int PartLength(int bins) => (bins + BinGroup - 1) / BinGroup * BinGroup;

    public static int Length(int bins) => 2 * PartLength(bins);

    public static Span<float> Re(Span<float> row, int bins) => row[..bins];

    public static Span<float> Im(Span<float> row, int bins) => row.Slice(PartLength(bins), bins);
}
