using System.Numerics;
using BenchmarkDotNet.Attributes;
using CaptureProc.Dsp.Fourier;
using MathNet.Numerics.IntegralTransforms;

namespace CaptureProc.Benchmarks;

/// <summary>
/// The real transform against the textbook loop and a general library. Sizes: the smallest streaming block's, and up to where
/// the data leaves the first-level cache (4096) and the second (65536).
/// </summary>
public class FourierBenchmarks
{
    private float[] signal = [], re = [], im = [];
    private double[] signal64 = [], re64 = [], im64 = [];
    private Complex[] complex = [], work = [];
    private RealFft<float> fft = new(2);
    private RealFft<double> fft64 = new(2);

    [Params(64, 128, 512, 2048, 4096, 16384, 65536)]
    public int Size { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        signal = Noise.Samples(Size, seed: 1);
        signal64 = Array.ConvertAll(signal, x => (double)x);
        complex = Array.ConvertAll(signal, x => new Complex(x, 0));
        work = new Complex[Size];
        (fft, fft64) = (new RealFft<float>(Size), new RealFft<double>(Size));
        (re, im) = (new float[fft.BinCount], new float[fft.BinCount]);
        (re64, im64) = (new double[fft.BinCount], new double[fft.BinCount]);
    }

    [Benchmark(Baseline = true)]
    public void TextbookLoop()
    {
        complex.CopyTo(work, 0);
        PlainLoops.Transform(work);
    }

    [Benchmark]
    public void MathNetForward()
    {
        complex.CopyTo(work, 0);
        Fourier.Forward(work, FourierOptions.AsymmetricScaling);
    }

    [Benchmark]
    public void RealForward32() => fft.Forward(signal, re, im);

    [Benchmark]
    public void RealInverse32() => fft.Inverse(re, im, signal);

    [Benchmark]
    public void RealForward64() => fft64.Forward(signal64, re64, im64);
}
