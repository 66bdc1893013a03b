using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.Contract;

/// <summary>The promises of <see cref="IPlanarProcessor"/>; every processor has a test class that inherits them.</summary>
public abstract class ProcessorContract
{
    // One and both sides of every vector width (4, 8, 16 floats), of the kernels' groups, and of the blocks hosts use.
    private static readonly int[] BlockLengths =
        [0, 1, 2, 3, 4, 5, 7, 8, 9, 15, 16, 17, 31, 32, 33, 63, 64, 65, 127, 128, 129, 0, 255, 256, 257];

    protected const int MaxBlockFrames = 257;

    /// <summary>How far results may differ by the way the stream is cut; 0 where they are equal to the last bit.</summary>
    protected virtual double CutTolerance => 0;

    /// <summary>False for a processor that is created in the middle of a change, which Reset completes.</summary>
    protected virtual bool ResetReturnsToTheStart => true;

    [Fact]
    public void OutputIsIndependentOfBlockSize()
    {
        var reference = Create();
        var input = Noise(reference.Inputs, 4000, seed: 1);
        var whole = Run(reference, input, new Cutter(256));
        foreach (var length in BlockLengths)
        {
            if (length > 0)
                Signals.Close(whole, Run(Create(), input, new Cutter(length)), CutTolerance, $"blocks of {length}");
        }

        Signals.Close(whole, Run(Create(), input, new Cutter(BlockLengths)), CutTolerance, "blocks of changing length");
    }

    [Fact]
    public void ResetEqualsNew()
    {
        var fresh = Create();
        var used = Create();
        var input = Noise(fresh.Inputs, 2000, seed: 2);
        Run(used, Noise(fresh.Inputs, 1234, seed: 3), new Cutter(100));
        used.Reset();
        if (!ResetReturnsToTheStart)
            fresh.Reset();
        Signals.Close(Run(fresh, input, new Cutter(100)), Run(used, input, new Cutter(100)), 0, "after Reset");
    }

    [Fact]
    public void InPlaceEqualsOutOfPlace()
    {
        var (apart, inPlace) = (Create(), Create());
        var input = Noise(apart.Inputs, 2000, seed: 4);
        var expected = Run(apart, input, new Cutter(BlockLengths));
        var channels = Math.Max(apart.Inputs, apart.Outputs);
        var buffer = Signals.Silence(channels, 2000);
        for (var channel = 0; channel < input.Length; channel++)
            input[channel].CopyTo(buffer[channel], 0);
        foreach (var (start, frames) in new Cutter(BlockLengths).Cut(2000))
            inPlace.Process(
                new ReadOnlyPlanarSpan(buffer.AsSpan(0, apart.Inputs), start, frames),
                new PlanarSpan(buffer.AsSpan(0, apart.Outputs), start, frames));
        Signals.Close(expected, buffer[..apart.Outputs], 0, "in place");
    }

    [Fact]
    public void SilenceStaysSilent()
    {
        var processor = Create();
        var output = Run(processor, Signals.Silence(processor.Inputs, 2000), new Cutter(BlockLengths));
        foreach (var channel in output)
            Assert.All(channel, x => Assert.Equal(0f, x));
    }

    [Fact]
    public void NothingIsAllocatedFromTheFirstCallOn()
    {
        var processor = Create();
        var input = Noise(processor.Inputs, MaxBlockFrames, seed: 5);
        var output = Signals.Silence(processor.Outputs, MaxBlockFrames);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var call = 0; call < 50; call++)
            processor.Process(input, output);
        processor.Reset();
        processor.Process(input, output);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Theory]
    [InlineData(float.NaN)]
    [InlineData(float.PositiveInfinity)]
    [InlineData(float.NegativeInfinity)]
    [InlineData(-1e30f)]
    public void BlockWithAnUnusableSampleCountsAsSilence(float bad)
    {
        const int Block = 100;
        var (spoilt, muted) = (Create(), Create());
        var input = Noise(spoilt.Inputs, 20 * Block, seed: 6);
        foreach (var channel in input)
            Array.Clear(channel, 5 * Block, Block);
        var expected = Run(muted, input, new Cutter(Block));

        for (var channel = 0; channel < input.Length; channel++)
            Noise(1, Block, seed: 7 + channel)[0].CopyTo(input[channel], 5 * Block);
        input[^1][5 * Block + 37] = bad;
        Signals.Close(expected, Run(spoilt, input, new Cutter(Block)), 0, $"with {bad}");
    }

    [Fact]
    public void NumbersTooSmallForArithmeticCountAsZero()
    {
        var processor = Create();
        var input = Signals.Silence(processor.Inputs, 1000);
        foreach (var channel in input)
            Array.Fill(channel, 1e-40f);
        foreach (var channel in Run(processor, input, new Cutter(100)))
            Assert.All(channel, x => Assert.Equal(0f, x));
    }

    [Fact]
    public void BlocksOfTheWrongShapeAreRefused()
    {
        var processor = Create();
        var input = Signals.Silence(processor.Inputs, 10);
        var output = Signals.Silence(processor.Outputs, 10);
        Assert.Throws<ArgumentException>(() => processor.Process(Signals.Silence(processor.Inputs + 1, 10), output));
        Assert.Throws<ArgumentException>(() => processor.Process(input, Signals.Silence(processor.Outputs + 1, 10)));
        Assert.Throws<ArgumentException>(() => processor.Process(input, Signals.Silence(processor.Outputs, 9)));
    }

    /// <summary>A fresh processor that takes blocks of up to <see cref="MaxBlockFrames"/> frames.</summary>
    protected abstract IPlanarProcessor Create();

    protected static float[][] Noise(int channels, int frames, int seed) => Signals.Noise(channels, frames, seed);

    internal static float[][] Run(IPlanarProcessor processor, float[][] input, Cutter cutter)
    {
        var frames = input[0].Length;
        var output = Signals.Silence(processor.Outputs, frames);
        foreach (var (start, length) in cutter.Cut(frames))
            processor.Process(new ReadOnlyPlanarSpan(input, start, length), new PlanarSpan(output, start, length));
        return output;
    }
}
