namespace CaptureProc.Analysis.Program;

/// <summary>Sums over windows of what a spot and the array's W have in common: the cross-spectrum and both power spectra.</summary>
/// <remarks>Thread: one writer. The cross-spectrum is W times the conjugate of the spot: a spot that waits for W has a falling phase.</remarks>
public sealed class SpectrumSum(int bins)
{
    public double[] CrossRe { get; } = new double[bins];

    public double[] CrossIm { get; } = new double[bins];

    public double[] PowerOfW { get; } = new double[bins];

    public double[] PowerOfSpot { get; } = new double[bins];

    /// <summary>Windows that went in.</summary>
    public int Count { get; private set; }

    public int BinCount => CrossRe.Length;

    public void Add(ReadOnlySpan<double> wRe, ReadOnlySpan<double> wIm, ReadOnlySpan<double> spotRe, ReadOnlySpan<double> spotIm)
    {
        for (var k = 0; k < CrossRe.Length; k++)
        {
            CrossRe[k] += wRe[k] * spotRe[k] + wIm[k] * spotIm[k];
            CrossIm[k] += wIm[k] * spotRe[k] - wRe[k] * spotIm[k];
            PowerOfW[k] += wRe[k] * wRe[k] + wIm[k] * wIm[k];
            PowerOfSpot[k] += spotRe[k] * spotRe[k] + spotIm[k] * spotIm[k];
        }
        Count++;
    }

    public void Add(SpectrumSum other)
    {
        for (var k = 0; k < CrossRe.Length; k++)
        {
            CrossRe[k] += other.CrossRe[k];
            CrossIm[k] += other.CrossIm[k];
            PowerOfW[k] += other.PowerOfW[k];
            PowerOfSpot[k] += other.PowerOfSpot[k];
        }
        Count += other.Count;
    }

    /// <summary>Magnitude-squared coherence of a bin, freed of the bias that few windows give it: (γ² − 1/n)/(1 − 1/n), not below 0.</summary>
    public double Coherence(int bin)
    {
        var power = PowerOfW[bin] * PowerOfSpot[bin];
        if (!(power > 0) || Count < 2)
            return 0;
        var raw = (CrossRe[bin] * CrossRe[bin] + CrossIm[bin] * CrossIm[bin]) / power;
        // Windows overlap by half under a Hann window, which makes about two thirds of them count as independent.
        var bias = 1.5 / Count;
        return Math.Clamp((raw - bias) / (1 - bias), 0, 1 - 1e-9);
    }
}
