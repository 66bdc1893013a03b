using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Convolution;

/// <summary>Source: the definition, summed in double (<see cref="PlainConvolution"/>), itself proven on known pairs below.</summary>
public sealed class ConvolverAccuracyTests
{
    // White noise of full scale through filters of about unit gain. Rounding adds up at random, to some 2e-7 RMS; the worst of
    // ten thousand samples lies five to six times as high. 2^-18 is −108 dBFS peak, 5e-7 is −126 dBFS RMS.
    private const double PeakTolerance = 1.0 / (1 << 18);
    private const double RmsTolerance = 5e-7;

    public static TheoryData<int, int, int> Shapes => new()
    {
        { 1, 1, 1 }, { 1, 1, 2 }, { 4, 4, 64 }, { 4, 4, 65 }, { 4, 4, 511 }, { 2, 4, 200 }, { 16, 4, 33 }, { 5, 3, 129 }, { 4, 1, 1000 },
    };

    [Theory]
    [MemberData(nameof(Shapes))]
    public void BlockConvolverAgreesWithTheDefinition(int outputs, int inputs, int tapCount)
    {
        var filter = PlainConvolution.RandomFilter(outputs, inputs, tapCount, seed: tapCount);
        Check(new BlockMatrixConvolver(filter, 700), filter, new Cutter(700), lateFrames: 0);
        Check(new BlockMatrixConvolver(filter), filter, new Cutter(BlockMatrixConvolver.EfficientBlockFrames(filter)), lateFrames: 0);
    }

    [Theory]
    [MemberData(nameof(Shapes))]
    public void StreamingConvolverAgreesWithTheDefinitionOneBlockLater(int outputs, int inputs, int tapCount)
    {
        var filter = PlainConvolution.RandomFilter(outputs, inputs, tapCount, seed: tapCount);
        foreach (var block in (int[])[1, 16, 32, 64, 256])
            Check(new StreamingMatrixConvolver(new PartitionedFilter(filter, block)), filter, new Cutter(97, 1, 300), lateFrames: block);
    }

    [Theory]
    [MemberData(nameof(Shapes))]
    public void DirectConvolverAgreesWithTheDefinitionAtOnce(int outputs, int inputs, int tapCount)
    {
        var filter = PlainConvolution.RandomFilter(outputs, inputs, tapCount, seed: tapCount);
        Check(new DirectMatrixConvolver(new DirectFilter(filter), 300), filter, new Cutter(97, 1, 300), lateFrames: 0);
    }

    [Theory]
    [MemberData(nameof(Shapes))]
    public void SplitConvolverAgreesWithTheDefinitionAtOnce(int outputs, int inputs, int tapCount)
    {
        var filter = PlainConvolution.RandomFilter(outputs, inputs, tapCount, seed: tapCount);
        Check(new SplitMatrixConvolver(new SplitFilter(filter), 300), filter, new Cutter(97, 1, 300), lateFrames: 0);
        Check(new SplitMatrixConvolver(new SplitFilter(filter, 1000), 300, 1000), filter, new Cutter(64), lateFrames: 0);
    }

    [Theory]
    [InlineData(1, 1)]
    [InlineData(4, 32)]
    [InlineData(9, 33)]
    [InlineData(16, 226)]
    public void OutputsThatMirrorEachOtherAgreeWithTheDefinition(int inputs, int tapCount)
    {
        var filter = PlainConvolution.MirroredFilter(inputs, tapCount, seed: tapCount);
        Check(new DirectMatrixConvolver(new DirectFilter(filter), 300), filter, new Cutter(97, 1, 300), lateFrames: 0);
        // One tap that is off by a rounding step is no mirror any more, and keeps its two outputs.
        filter.Taps(1, 0)[tapCount - 1] = MathF.BitIncrement(filter.Taps(1, 0)[tapCount - 1]);
        Check(new DirectMatrixConvolver(new DirectFilter(filter), 300), filter, new Cutter(97, 1, 300), lateFrames: 0);
    }

    [Fact]
    public void AMirrorMayTakeThePlaceOfAPairWhileItPlays()
    {
        var pair = PlainConvolution.RandomFilter(2, 3, 50, seed: 2);
        var mirror = PlainConvolution.MirroredFilter(3, 50, seed: 3);
        var input = Signals.Noise(3, 2000, 4);
        var convolver = new DirectMatrixConvolver(new DirectFilter(pair), 100, crossfadeFrames: 200);
        var output = ProcessorContract.Run(convolver, [.. input.Select(c => c[..1000])], new Cutter(100));
        Signals.Close(PlainConvolution.Run(pair, [.. input.Select(c => c[..1000])]), output, PeakTolerance, "the pair");
        convolver.Publish(new DirectFilter(mirror));
        output = ProcessorContract.Run(convolver, [.. input.Select(c => c[1000..])], new Cutter(100));
        var expected = PlainConvolution.Run(mirror, input);
        Signals.Close([.. expected.Select(c => c[1200..])], [.. output.Select(c => c[200..])], PeakTolerance, "the mirror");
    }

    [Theory]
    [InlineData(1)]
    [InlineData(100)]
    [InlineData(256)]
    public void TheProbeHearsWhatEachInputAddsToTheFirstOutput(int blockFrames)
    {
        var filter = PlainConvolution.RandomFilter(4, 4, 70, seed: 5);
        var input = Signals.Noise(4, 1000, 6);
        var probe = new FirstOutputProbe(4, 256, 90);
        var ofFirst = new FirstOutputFilter(filter);
        var borders = 0;
        for (var start = 0; start < 1000; start += blockFrames)
        {
            if (!probe.Process(new ReadOnlyPlanarSpan(input, start, Math.Min(blockFrames, 1000 - start)), ofFirst))
                continue;
            borders++;
            var at = borders * FirstOutputProbe.Interval - FirstOutputProbe.Frames;
            for (var channel = 0; channel < 4; channel++)
            {
                var alone = input.Select((c, i) => i == channel ? c : new float[1000]).ToArray();
                Signals.Close([PlainConvolution.Run(filter, alone)[0][at..(at + FirstOutputProbe.Frames)]], [probe.Parts[channel].ToArray()], PeakTolerance, $"input {channel + 1}");
            }
        }
        Assert.Equal(1000 / FirstOutputProbe.Interval, borders);
    }

    [Fact]
    public void RoomForLongerFiltersChangesNothing()
    {
        var filter = PlainConvolution.RandomFilter(2, 2, 100, seed: 1);
        Check(new StreamingMatrixConvolver(new PartitionedFilter(filter, 32), maxTapCount: 777), filter, new Cutter(50), lateFrames: 32);
        Check(new DirectMatrixConvolver(new DirectFilter(filter), 50, maxTapCount: 777), filter, new Cutter(50), lateFrames: 0);
    }

    [Fact]
    public void LatencyIsThatOfTheFilterPlusTheBlock()
    {
        var filter = PlainConvolution.RandomFilter(1, 1, 100, seed: 1, latencyFrames: 41);
        Assert.Equal(41, new BlockMatrixConvolver(filter, 256).LatencyFrames);
        Assert.Equal(41, new DirectMatrixConvolver(new DirectFilter(filter), 256).LatencyFrames);
        Assert.Equal(41 + 64, new StreamingMatrixConvolver(new PartitionedFilter(filter, 64)).LatencyFrames);
    }

    [Fact]
    public void DefinitionGivesKnownPairs()
    {
        // (1 + 2z)(3 + 4z) = 3 + 10z + 8z²
        var filter = new MatrixFilter(1, 1, 2, 0);
        (filter.Taps(0, 0)[0], filter.Taps(0, 0)[1]) = (1, 2);
        Assert.Equal([3, 10, 8, 0], PlainConvolution.Run(filter, [[3, 4, 0, 0]])[0]);

        // A matrix of single taps is a matrix.
        var matrix = new MatrixFilter(2, 2, 1, 0);
        (matrix.Taps(0, 0)[0], matrix.Taps(0, 1)[0], matrix.Taps(1, 0)[0], matrix.Taps(1, 1)[0]) = (1, 2, 3, 4);
        Assert.Equal([[50f], [110f]], PlainConvolution.Run(matrix, [[10], [20]]));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    [InlineData(-64)]
    public void StreamingBlocksThatAreNoPowerOfTwoAreRefused(int block) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new PartitionedFilter(new MatrixFilter(1, 1, 1, 0), block));

    private static void Check(IPlanarProcessor processor, MatrixFilter filter, Cutter cutter, int lateFrames)
    {
        var input = Signals.Noise(filter.Inputs, 3000, seed: 9);
        var expected = PlainConvolution.Run(filter, input);
        for (var channel = 0; channel < expected.Length; channel++)
            expected[channel] = [.. new float[lateFrames], .. expected[channel].AsSpan(0, 3000 - lateFrames)];
        var actual = ProcessorContract.Run(processor, input, cutter);
        Signals.Close(expected, actual, PeakTolerance, processor.GetType().Name);
        Assert.InRange(Signals.RmsDifference(expected, actual), 0, RmsTolerance);
    }
}
