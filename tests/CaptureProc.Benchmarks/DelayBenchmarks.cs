using BenchmarkDotNet.Attributes;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Benchmarks;

/// <summary>One spot held back by 812.37 samples; the same kernel as a plain loop; and a stream read 20 ppm faster.</summary>
public class DelayBenchmarks
{
    private readonly MatrixFilter kernel = new(1, 1, FractionalDelayKernel.TapCount, 0);
    private float[][] input = [], history = [], output = [];
    private FractionalDelay delay = new(1, 0, 0, 1);
    private Resampler resampler = new(1, 1, 1);

    [Params(32, 64, 128, 441, 512, 2048)]
    public int BlockFrames { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        FractionalDelayKernel.Fill(0.37, kernel.Taps(0, 0));
        (input, output) = (Noise.Channels(1, BlockFrames), Noise.Channels(1, BlockFrames + 8));
        history = Noise.Channels(1, BlockFrames + FractionalDelayKernel.TapCount - 1);
        delay = new FractionalDelay(1, 812.37, 2000, BlockFrames);
        resampler = new Resampler(1, 1 + 20e-6, BlockFrames);
    }

    [Benchmark(Baseline = true)]
    public void PlainLoop() => PlainLoops.Convolve(kernel, history, output, BlockFrames);

    [Benchmark]
    public void Delay() => delay.Process(input, new PlanarSpan(output, 0, BlockFrames));

    [Benchmark]
    public int Resample() => resampler.Process(input, output);
}
