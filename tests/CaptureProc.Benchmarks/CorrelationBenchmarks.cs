using BenchmarkDotNet.Attributes;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Benchmarks;

/// <summary>A stretch of a spot against the array, all lags to ±30 ms at 48 kHz; from a click's length to a second of music.</summary>
public class CorrelationBenchmarks
{
    private const int MaxLagFrames = 1440;
    private readonly float[] lags = new float[2 * MaxLagFrames + 1];
    private float[] first = [], second = [];
    private CrossCorrelation<float> correlation = new(1, 0);

    [Params(1024, 4411, 48000)]
    public int SignalFrames { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        (first, second) = (Noise.Samples(SignalFrames, seed: 1), Noise.Samples(SignalFrames, seed: 2));
        correlation = new CrossCorrelation<float>(SignalFrames, MaxLagFrames);
    }

    [Benchmark(Baseline = true)]
    public void PlainLoop() => PlainLoops.Correlate(first, second, lags);

    [Benchmark]
    public void ByFft() => correlation.Correlate(first, second, lags);
}
