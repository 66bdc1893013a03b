using System.Numerics;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Analysis.Spectra;

/// <summary>Real signals to complex bins and back, for code that thinks in phases.</summary>
/// <remarks>
/// Thread: one instance a thread. Shape: Size samples, Size/2+1 bins; shorter signals are followed by zeros.
/// Scale: forward unscaled, inverse by 1/Size. Time factor e^{+jωt}: a delay of d samples multiplies by e^{−jωd}.
/// </remarks>
public sealed class Transform
{
    private readonly RealFft<double> fft;
    private readonly double[] re, im, padded;

    public Transform(int size)
    {
        fft = new RealFft<double>(size);
        (re, im, padded) = (new double[fft.BinCount], new double[fft.BinCount], new double[size]);
    }

    public int Size => fft.Size;

    public int BinCount => fft.BinCount;

    /// <summary>Radians a sample at a bin.</summary>
    public double Omega(int bin) => 2 * Math.PI * bin / Size;

    public Complex[] Forward(ReadOnlySpan<double> signal)
    {
        padded.AsSpan().Clear();
        signal.CopyTo(padded);
        fft.Forward(padded, re, im);
        var bins = new Complex[BinCount];
        for (var k = 0; k < bins.Length; k++)
            bins[k] = new Complex(re[k], im[k]);
        return bins;
    }

    public void Inverse(ReadOnlySpan<Complex> bins, Span<double> signal)
    {
        for (var k = 0; k < bins.Length; k++)
            (re[k], im[k]) = (bins[k].Real, bins[k].Imaginary);
        im[0] = im[^1] = 0;
        fft.Inverse(re, im, signal);
    }

    public double[] Inverse(ReadOnlySpan<Complex> bins)
    {
        var signal = new double[Size];
        Inverse(bins, signal);
        return signal;
    }
}
