using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Dsp.Listening;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Listening;

public sealed class FieldListenerContract : ProcessorContract
{
    protected override IPlanarProcessor Create() => new FieldListener(DefaultHead.Decoder.Filter(1, 48000), 48000, MaxBlockFrames);
}

/// <summary>A field of many channels at a high rate, which is convolved by blocks.</summary>
public sealed class FieldListenerAtHighRateContract : ProcessorContract
{
    protected override IPlanarProcessor Create() => new FieldListener(DefaultHead.Decoder.Filter(3, 96000), 96000, MaxBlockFrames);
}

/// <summary>While the listener is turning.</summary>
public sealed class TurningFieldListenerContract : ProcessorContract
{
    protected override IPlanarProcessor Create()
    {
        var listener = new FieldListener(DefaultHead.Decoder.Filter(2, 48000), 48000, MaxBlockFrames);
        listener.TurnListenerTo(Rotation3D.FromYawPitchRollDeg(150, 20, -40));
        // Reset stands at the wanted turn, so that a used listener can be compared with a new one.
        listener.Reset();
        return listener;
    }
}

public sealed class FieldListenerTests
{
    private const double SampleRateHz = 48000;

    public static TheoryData<int> Orders => [1, 2, 3];

    [Theory]
    [MemberData(nameof(Orders))]
    public void ListenerTurnedToTheLeftHearsTheFrontOnTheRight(int order)
    {
        // A listener turned by a hears a source at azimuth φ as one at φ − a.
        var turned = Listen(order, new Direction(0, 0), Rotation3D.FromYawPitchRollDeg(90, 0, 0));
        var moved = Listen(order, new Direction(-90, 0), Rotation3D.Identity);
        Signals.Close(moved, turned, 1e-6, "turned by 90 degrees");
        Assert.True(Energy(turned[1]) > 2 * Energy(turned[0]));
    }

    [Theory]
    [MemberData(nameof(Orders))]
    public void EveryTurnEqualsTheOppositeMotionOfTheSource(int order)
    {
        var random = new Random(order);
        for (var trial = 0; trial < 5; trial++)
        {
            var turn = Rotation3D.FromYawPitchRollDeg(360 * random.NextDouble(), 180 * random.NextDouble() - 90, 360 * random.NextDouble());
            var source = new Direction(360 * random.NextDouble(), 180 * random.NextDouble() - 90);
            Signals.Close(Listen(order, turn.Inverse().Apply(source), Rotation3D.Identity), Listen(order, source, turn), 2e-6, "turned");
        }
    }

    [Fact]
    public void HalfTurnPassesThroughRealTurnsWithoutAHole()
    {
        // A steady plane wave, as first-order gains: while the field turns, W stays and X² + Y² + Z² stays W² (SN3D of one wave).
        var turner = new FieldTurner(1, SampleRateHz, 64);
        var (field, turned) = (Field(1, new Direction(0, 0), 64, _ => 1), Signals.Silence(4, 64));
        turner.TurnTo(Rotation3D.FromYawPitchRollDeg(180, 0, 0));
        for (var block = 0; block < 200; block++)
        {
            turner.Process(field, turned);
            for (var n = 0; n < 64; n++)
            {
                Assert.Equal(1f, turned[0][n], 1e-6f);
                var gradient = Math.Sqrt(Math.Pow(turned[1][n], 2) + Math.Pow(turned[2][n], 2) + Math.Pow(turned[3][n], 2));
                // The first step of a jump by 180 degrees covers 12 of them on a straight line, which leaves the arc by 1 - cos 6°.
                Assert.InRange(gradient, 0.994, 1.000001);
            }
        }
        Assert.Equal(-1f, turned[3][63], 1e-6f);
    }

    [Fact]
    public void TurningNeverJumps()
    {
        var turner = new FieldTurner(3, SampleRateHz, 480);
        var (field, turned) = (Field(3, new Direction(30, 20), 480, _ => 1), Signals.Silence(16, 480));
        var random = new Random(3);
        var last = new float[16];
        turner.Process(field, turned);
        for (var channel = 0; channel < 16; channel++)
            last[channel] = turned[channel][^1];
        for (var block = 0; block < 60; block++)
        {
            turner.TurnTo(Rotation3D.FromYawPitchRollDeg(360 * random.NextDouble(), 180 * random.NextDouble() - 90, 0));
            turner.Process(field, turned);
            for (var channel = 0; channel < 16; channel++)
            {
                foreach (var value in turned[channel])
                {
                    // At most 180 degrees away, 7 % of it in 32 frames: 0.4 degrees a frame. A harmonic of order 3 changes by no more than
                    // some 4 a radian.
                    Assert.InRange(Math.Abs(value - last[channel]), 0, 0.03f);
                    last[channel] = value;
                }
            }
        }
    }

    [Fact]
    public void MotionIsIndependentOfBlockSize()
    {
        float[][] Run(Cutter cutter)
        {
            var listener = new FieldListener(DefaultHead.Decoder.Filter(1, SampleRateHz), SampleRateHz, 512);
            var (input, output) = (Signals.Noise(4, 4000, seed: 4), Signals.Silence(2, 4000));
            listener.TurnListenerTo(Rotation3D.FromYawPitchRollDeg(70, 10, 0));
            foreach (var (start, length) in cutter.Cut(4000))
                listener.Process(new ReadOnlyPlanarSpan(input, start, length), new PlanarSpan(output, start, length));
            return output;
        }

        var whole = Run(new Cutter(512));
        foreach (var length in new[] { 1, 7, 32, 100, 511 })
            Signals.Close(whole, Run(new Cutter(length)), 0, $"blocks of {length}");
    }

    [Fact]
    public void MotionAllocatesNothing()
    {
        var (input, output) = (Signals.Noise(16, 256, seed: 5), Signals.Silence(2, 256));
        // Another listener first: what the compiler of the test run makes at the first calls is not what a listener allocates.
        AllocatedBytesOf(input, output);
        Assert.Equal(0, AllocatedBytesOf(input, output));
    }

    private static long AllocatedBytesOf(float[][] input, float[][] output)
    {
        var listener = new FieldListener(DefaultHead.Decoder.Filter(3, SampleRateHz), SampleRateHz, 256);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var block = 0; block < 50; block++)
        {
            listener.TurnListenerTo(Rotation3D.FromYawPitchRollDeg(10 * block, block, -block));
            listener.Process(input, output);
        }
        return GC.GetAllocatedBytesForCurrentThread() - before;
    }

    [Fact]
    public void PairTakesThePlaceOfTheHeadAtTheSameLatency()
    {
        var listener = new FieldListener(DefaultHead.Decoder.Filter(1, SampleRateHz), SampleRateHz, 512);
        var pair = new float[8];
        new CoincidentPair(90, 0, new Direction(0, 0)).FillGains(pair);
        listener.SetWays(0, pair, [], 0);
        var output = Signals.Silence(2, 512);
        listener.Process(Field(1, new Direction(45, 0), 512, n => n == 10 ? 1 : 0), output);
        Assert.Equal(1f, output[0][10 + listener.LatencyFrames], 1e-6f);
        Assert.All(output[1], x => Assert.Equal(0f, x, 1e-6f));
    }

    [Fact]
    public void PairTurnsWithTheListenerAndStraightChannelsDoNot()
    {
        float[][] Hear(float[] turned, float[] straight)
        {
            var listener = new FieldListener(DefaultHead.Decoder.Filter(2, SampleRateHz), SampleRateHz, 512);
            listener.StandAt(Rotation3D.FromYawPitchRollDeg(90, 0, 0));
            listener.SetWays(0, turned, straight, 0);
            var output = Signals.Silence(2, 512);
            listener.Process(Field(2, new Direction(90, 0), 512, n => n == 0 ? 1 : 0), output);
            return output;
        }

        // Left takes Y, right takes X: a source on the left is all Y, and all X once the listener looks at it.
        float[] gains = [0, 1, 0, 0, 0, 0, 0, 1];
        var (turned, straight) = (Hear(gains, []), Hear([], gains));
        Assert.Equal((0f, 1f), (MathF.Round(turned[0][48], 6), MathF.Round(turned[1][48], 6)));
        Assert.Equal((1f, 0f), (MathF.Round(straight[0][48], 6), MathF.Round(straight[1][48], 6)));
    }

    [Fact]
    public void ChangeOfWaysGlidesWithoutAStep()
    {
        var listener = new FieldListener(DefaultHead.Decoder.Filter(1, SampleRateHz), SampleRateHz, 512);
        var (field, output) = (Field(1, new Direction(0, 0), 512, _ => 1), Signals.Silence(2, 512));
        for (var block = 0; block < 4; block++)
            listener.Process(field, output);
        var last = output[0][^1];
        listener.SetWays(0, [1, 0, 0, 0, 1, 0, 0, 0], [], 960);
        for (var block = 0; block < 3; block++)
        {
            listener.Process(field, output);
            foreach (var sample in output[0])
            {
                Assert.InRange(Math.Abs(sample - last), 0, 2f / 960);
                last = sample;
            }
        }
        Assert.Equal(1f, last, 1e-6f);
    }

    private static float[][] Listen(int order, Direction source, Rotation3D turn)
    {
        var listener = new FieldListener(DefaultHead.Decoder.Filter(order, SampleRateHz), SampleRateHz, 512);
        listener.TurnListenerTo(turn);
        listener.Reset();
        var output = Signals.Silence(2, 512);
        listener.Process(Field(order, source, 512, n => n == 20 ? 1 : 0), output);
        return output;
    }

    private static float[][] Field(int order, Direction source, int frames, Func<int, float> signal)
    {
        var harmonics = new double[(order + 1) * (order + 1)];
        SphericalHarmonics.Evaluate(source, harmonics);
        var field = Signals.Silence(harmonics.Length, frames);
        for (var channel = 0; channel < field.Length; channel++)
            for (var n = 0; n < frames; n++)
                field[channel][n] = (float)harmonics[channel] * signal(n);
        return field;
    }

    private static double Energy(float[] signal) => signal.Sum(x => (double)x * x);
}
