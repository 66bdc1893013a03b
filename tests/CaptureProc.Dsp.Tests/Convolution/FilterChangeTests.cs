using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Convolution;

public sealed class FilterChangeTests
{
    private const int Block = 64;
    private const int Fade = 500;

    // As in ConvolverAccuracyTests.
    private const double RoundingPeak = 1.0 / (1 << 18);

    private static readonly MatrixFilter Before = PlainConvolution.RandomFilter(4, 2, 150, seed: 1);
    private static readonly MatrixFilter After = PlainConvolution.RandomFilter(4, 2, 300, seed: 2);

    // Expected: both outputs in full, mixed by the straight line from the frame of the change on.
    [Fact]
    public void StreamingChangeIsALinearFadeBetweenTheTwoOutputs()
    {
        var convolver = new StreamingMatrixConvolver(new PartitionedFilter(Before, Block), maxTapCount: 300, crossfadeFrames: Fade);
        var changed = RunWithChangeAt(1000, convolver, () => convolver.Publish(new PartitionedFilter(After, Block)));
        // The block that is being filled at frame 1000 is the first one that meets the new filter.
        Signals.Close(Mixed(changeFrame: 1000 / Block * Block, lateFrames: Block), changed, RoundingPeak, "streaming");
    }

    [Fact]
    public void DirectChangeIsALinearFadeBetweenTheTwoOutputs()
    {
        var convolver = new DirectMatrixConvolver(new DirectFilter(Before), 100, maxTapCount: 300, crossfadeFrames: Fade);
        var changed = RunWithChangeAt(1000, convolver, () => convolver.Publish(new DirectFilter(After)));
        Signals.Close(Mixed(changeFrame: 1000, lateFrames: 0), changed, RoundingPeak, "direct");
    }

    [Fact]
    public void AFadeOfNoLengthIsAnImmediateChange()
    {
        var convolver = new DirectMatrixConvolver(new DirectFilter(Before), 100, maxTapCount: 300, crossfadeFrames: 0);
        var changed = RunWithChangeAt(1000, convolver, () => convolver.Publish(new DirectFilter(After)));
        var (before, after) = (PlainConvolution.Run(Before, Input), PlainConvolution.Run(After, Input));
        for (var channel = 0; channel < 4; channel++)
            before[channel] = [.. before[channel].AsSpan(0, 1000), .. after[channel].AsSpan(1000)];
        Signals.Close(before, changed, RoundingPeak, "at once");
    }

    [Fact]
    public void ChangingAllocatesNothingOnTheAudioThread()
    {
        var streaming = new StreamingMatrixConvolver(new PartitionedFilter(Before, Block), maxTapCount: 300);
        var direct = new DirectMatrixConvolver(new DirectFilter(Before), 100, maxTapCount: 300);
        streaming.Publish(new PartitionedFilter(After, Block));
        direct.Publish(new DirectFilter(After));
        var (input, output) = (Signals.Noise(2, 100, seed: 3), Signals.Silence(4, 100));
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var call = 0; call < 30; call++)
        {
            streaming.Process(input, output);
            direct.Process(input, output);
        }

        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    // A constant through single taps g shows the gain itself. Fading from one g in 0..1 to another in 100 frames, it can never
    // move by more than 1/100 from frame to frame; a jump of any kind would show.
    [Fact]
    public void FiltersFromAnotherThreadNeverMakeTheOutputJump()
    {
        const int FadeFrames = 100;
        var streaming = new StreamingMatrixConvolver(new PartitionedFilter(Gain(0), 16), crossfadeFrames: FadeFrames);
        var direct = new DirectMatrixConvolver(new DirectFilter(Gain(0)), 32, crossfadeFrames: FadeFrames);
        float[][] ones = [new float[32]];
        Array.Fill(ones[0], 1);
        var (a, b) = (Signals.Silence(1, 32), Signals.Silence(1, 32));

        using var stop = new CancellationTokenSource();
        var publisher = new Thread(() =>
        {
            var random = new Random(5);
            while (!stop.IsCancellationRequested)
            {
                var gain = Gain(random.NextSingle());
                streaming.Publish(new PartitionedFilter(gain, 16));
                direct.Publish(new DirectFilter(gain));
            }
        });
        for (var call = 0; call < 10; call++)
            streaming.Process(ones, a);
        publisher.Start();
        var (lastStreaming, lastDirect, moves) = (0f, 0f, 0);
        for (var call = 0; call < 20_000; call++)
        {
            streaming.Process(ones, a);
            direct.Process(ones, b);
            for (var frame = 0; frame < 32; frame++)
            {
                Assert.InRange(a[0][frame] - lastStreaming, -0.0101f, 0.0101f);
                Assert.InRange(b[0][frame] - lastDirect, -0.0101f, 0.0101f);
                moves += a[0][frame] != lastStreaming && b[0][frame] != lastDirect ? 1 : 0;
                (lastStreaming, lastDirect) = (a[0][frame], b[0][frame]);
            }
        }

        stop.Cancel();
        publisher.Join();
        Assert.True(moves > 1000, "The filters did change while the stream was running.");
    }

    [Fact]
    public void FiltersThatDoNotFitAreRefused()
    {
        var streaming = new StreamingMatrixConvolver(new PartitionedFilter(Before, Block));
        Assert.Contains("room was made for 150", Refusal(() => streaming.Publish(new PartitionedFilter(After, Block))), StringComparison.Ordinal);
        Assert.Contains("the block is 64", Refusal(() => streaming.Publish(new PartitionedFilter(Before, 32))), StringComparison.Ordinal);
        Assert.Contains("4 x 2 is playing", Refusal(() => streaming.Publish(new PartitionedFilter(Gain(1), Block))), StringComparison.Ordinal);
        var late = PlainConvolution.RandomFilter(4, 2, 150, seed: 1, latencyFrames: 5);
        Assert.Contains("latency is 5", Refusal(() => streaming.Publish(new PartitionedFilter(late, Block))), StringComparison.Ordinal);
    }

    private static float[][] Input => Signals.Noise(2, 3000, seed: 4);

    private static string Refusal(Action action) => Assert.Throws<ArgumentException>(action).Message;

    private static MatrixFilter Gain(float gain)
    {
        var filter = new MatrixFilter(1, 1, 1, 0);
        filter.Taps(0, 0)[0] = gain;
        return filter;
    }

    private static float[][] RunWithChangeAt(int frame, IPlanarProcessor processor, Action change)
    {
        var (input, output) = (Input, Signals.Silence(4, 3000));
        foreach (var (start, frames) in new Cutter(100).Cut(3000))
        {
            if (start == frame)
                change();
            processor.Process(new ReadOnlyPlanarSpan(input, start, frames), new PlanarSpan(output, start, frames));
        }

        return output;
    }

    private static float[][] Mixed(int changeFrame, int lateFrames)
    {
        var (before, after) = (PlainConvolution.Run(Before, Input), PlainConvolution.Run(After, Input));
        var mixed = Signals.Silence(4, 3000);
        for (var channel = 0; channel < 4; channel++)
            for (var frame = lateFrames; frame < 3000; frame++)
            {
                var source = frame - lateFrames;
                var weight = Math.Clamp((source - changeFrame) / (float)Fade, 0, 1);
                mixed[channel][frame] = before[channel][source] + weight * (after[channel][source] - before[channel][source]);
            }

        return mixed;
    }
}
