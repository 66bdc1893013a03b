using BenchmarkDotNet.Attributes;
using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Benchmarks;

/// <summary>
/// Four capsules to four harmonics, 512 taps a filter as in a full correction, in the blocks that hosts use, one of them odd. The
/// streaming convolver works in blocks of 64 inside.
/// </summary>
public class StreamingConvolutionBenchmarks
{
    private const int TapCount = 512;
    private readonly MatrixFilter filter = Noise.Filter(4, 4, TapCount);
    private float[][] input = [], history = [], output = [];
    private StreamingMatrixConvolver convolver = new(new PartitionedFilter(new MatrixFilter(1, 1, 1, 0), 64));

    [Params(32, 64, 128, 441, 512, 2048)]
    public int BlockFrames { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        (input, output) = (Noise.Channels(4, BlockFrames), Noise.Channels(4, BlockFrames));
        history = Noise.Channels(4, BlockFrames + TapCount - 1);
        convolver = new StreamingMatrixConvolver(new PartitionedFilter(filter, 64));
    }

    [Benchmark(Baseline = true)]
    public void PlainLoop() => PlainLoops.Convolve(filter, history, output, BlockFrames);

    [Benchmark]
    public void Streaming() => convolver.Process(input, output);
}

/// <summary>The same matrix with the 128 taps of a low-latency correction, in the time domain.</summary>
public class DirectConvolutionBenchmarks
{
    private const int TapCount = 128;
    private readonly MatrixFilter filter = Noise.Filter(4, 4, TapCount);
    private float[][] input = [], history = [], output = [];
    private DirectMatrixConvolver convolver = new(new DirectFilter(new MatrixFilter(1, 1, 1, 0)), 1);

    [Params(32, 64, 128, 441, 512, 2048)]
    public int BlockFrames { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        (input, output) = (Noise.Channels(4, BlockFrames), Noise.Channels(4, BlockFrames));
        history = Noise.Channels(4, BlockFrames + TapCount - 1);
        convolver = new DirectMatrixConvolver(new DirectFilter(filter), BlockFrames);
    }

    [Benchmark(Baseline = true)]
    public void PlainLoop() => PlainLoops.Convolve(filter, history, output, BlockFrames);

    [Benchmark]
    public void Direct() => convolver.Process(input, output);
}

/// <summary>Offline conversion: one full block of the block length that the convolver chooses for itself, by filter length.</summary>
public class OfflineConvolutionBenchmarks
{
    private float[][] input = [], history = [], output = [];
    private MatrixFilter filter = new(1, 1, 1, 0);
    private BlockMatrixConvolver convolver = new(new MatrixFilter(1, 1, 1, 0));

    [Params(128, 512, 2048)]
    public int TapCount { get; set; }

    [GlobalSetup]
    public void Setup()
    {
        filter = Noise.Filter(4, 4, TapCount);
        convolver = new BlockMatrixConvolver(filter);
        (input, output) = (Noise.Channels(4, convolver.MaxBlockFrames), Noise.Channels(4, convolver.MaxBlockFrames));
        history = Noise.Channels(4, convolver.MaxBlockFrames + TapCount - 1);
    }

    [Benchmark(Baseline = true)]
    public void PlainLoop() => PlainLoops.Convolve(filter, history, output, convolver.MaxBlockFrames);

    [Benchmark]
    public void Block() => convolver.Process(input, output);
}
