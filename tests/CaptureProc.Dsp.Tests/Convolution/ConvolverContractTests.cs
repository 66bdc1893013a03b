using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Convolution;

public sealed class BlockMatrixConvolverContract : ProcessorContract
{
    // A sample's place in the transform depends on the cut, and with it the rounding: as in ConvolverAccuracyTests.
    protected override double CutTolerance => 1.0 / (1 << 18);

    protected override IPlanarProcessor Create() => new BlockMatrixConvolver(PlainConvolution.RandomFilter(4, 4, 100, seed: 1), MaxBlockFrames);
}

public sealed class StreamingMatrixConvolverContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new StreamingMatrixConvolver(new PartitionedFilter(PlainConvolution.RandomFilter(4, 4, 300, seed: 1), 64));
}

public sealed class StreamingMatrixConvolverWithMoreOutputsContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new StreamingMatrixConvolver(new PartitionedFilter(PlainConvolution.RandomFilter(9, 2, 77, seed: 1), 16), maxTapCount: 1000);
}

public sealed class DirectMatrixConvolverContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new DirectMatrixConvolver(new DirectFilter(PlainConvolution.RandomFilter(4, 4, 100, seed: 1)), MaxBlockFrames);
}

public sealed class DirectMatrixConvolverWithFewerOutputsContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new DirectMatrixConvolver(new DirectFilter(PlainConvolution.RandomFilter(2, 5, 1, seed: 1)), MaxBlockFrames);
}

public sealed class SplitMatrixConvolverContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new SplitMatrixConvolver(new SplitFilter(PlainConvolution.RandomFilter(4, 4, 257, seed: 1)), MaxBlockFrames);
}

public sealed class SparseSplitMatrixConvolverContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new SplitMatrixConvolver(new SplitFilter(PlainConvolution.RandomFilter(4, 4, 257, seed: 1), 0, isSparse: true), MaxBlockFrames);
}

public sealed class DirectMatrixConvolverOfAMirrorContract : ProcessorContract
{
    protected override IPlanarProcessor Create() =>
        new DirectMatrixConvolver(new DirectFilter(PlainConvolution.MirroredFilter(9, 100, seed: 1)), MaxBlockFrames);
}
