using CaptureProc.Rendering.Alignment;
using CaptureProc.Rendering.Conversion;
using CaptureProc.Session;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Alignment;

/// <summary>Spots on a recorder of their own.</summary>
public sealed class ClockTests : IDisposable
{
    private readonly Takes takes = new();

    public void Dispose() => takes.Dispose();

    // 240 ppm over 30 s come apart as far as 20 ppm over 6 minutes; at 1000 ppm the queue has 1440 frames to hold.
    [Theory]
    [InlineData(240, 812.37, 2.5)]
    [InlineData(-240, 812.37, 2.5)]
    [InlineData(1000, -41.6, 28)]
    [InlineData(-1000, 20000.25, 20)]
    public void SpotOfAnotherClockIsTheSameWaveAtTheArraysTimes(double driftPpm, double delaySamples, double atSeconds)
    {
        const int frames = 30 * Takes.SampleRateHz;
        // Frame m of the spot's own clock stands where the clock's definition puts it: m = n − d + ε·(n − n₀) for the array's frame n.
        var step = 1 + driftPpm * 1e-6;
        var atFrame = atSeconds * Takes.SampleRateHz;
        var spot = Tones(frames, m => (m + delaySamples + driftPpm * 1e-6 * atFrame) / step);
        var take = takes.Write("take.wav", [.. Takes.Noise(4, frames, seed: 3), spot]);
        var session = Takes.Session(Takes.Spot("harp", delaySamples, 5) with { Clock = new SpotClock { DriftPpm = driftPpm, AtSeconds = atSeconds } });

        var result = Align(session, take);
        var aligned = Takes.Read(result.Spots[0].File)[0];
        var heldBack = result.Plan.HeldBackFrames;
        var expected = Tones(frames, n => n - heldBack);
        Assert.Equal(frames, aligned.Length);
        var compared = 0;
        for (var n = 0; n < frames; n++)
        {
            // Where the spot's recording has not begun or is over, there is nothing to compare with.
            var position = n - heldBack - delaySamples + driftPpm * 1e-6 * (n - heldBack - atFrame);
            if (position < 80 || position > frames - 80)
                continue;
            compared++;
            Assert.True(Math.Abs(expected[n] - aligned[n]) < 0.9 * 0.004, $"frame {n}: {expected[n]} {aligned[n]}");
        }
        Assert.True(compared > 0.95 * frames);
    }

    [Fact]
    public void CapsuleArrayOnAnotherClockIsConvertedAndThenFollowed()
    {
        const int frames = 6 * Takes.SampleRateHz;
        var noise = Takes.Noise(8, frames, seed: 4);
        var take = takes.Write("take.wav", noise);
        var spot = Takes.Spot("nest", 300, 5, 6, 7, 8) with { ArrayId = "nest" };
        var session = Takes.Session(spot) with { Arrays = [Takes.Array("main", 1, 2, 3, 4), Takes.Array("nest", 5, 6, 7, 8)] };

        var plain = Takes.Read(Align(session, take).Spots[0].File);
        var same = Takes.Read(Align(session with { Spots = [spot with { Clock = new SpotClock { DriftPpm = 0 } }] }, take).Spots[0].File);
        for (var c = 0; c < 4; c++)
            for (var n = 400; n < frames - 400; n++)
                Assert.Equal(plain[c][n], same[c][n], 1e-5f);
    }

    [Fact]
    public void QueueGivesBackWhatItTookInOrderAndGrowsAsItMust()
    {
        var queue = new FrameQueue(2);
        var (next, expected) = (0, 0);
        foreach (var (push, pop) in new[] { (5, 0), (3, 6), (0, 2), (40, 10), (1, 0), (7, 38) })
        {
            var room = queue.Append(push);
            for (var i = 0; i < push; i++)
                (room[0][i], room[1][i]) = (next, -next++);
            var taken = new[] { new float[pop], new float[pop] };
            queue.Take(taken);
            for (var i = 0; i < pop; i++)
                Assert.Equal((expected, -expected++), (taken[0][i], taken[1][i]));
        }
        Assert.Equal(0, queue.Count);
        Assert.Throws<InvalidOperationException>(() => queue.Take(new[] { new float[1], new float[1] }));
    }

    private AlignmentResult Align(SessionDocument session, string take) => TakeAligner.Align(
        session, [take], takes.File($"aligned-{Guid.NewGuid():N}"), new AlignmentSettings { Field = new FieldSettings { SampleFormat = SampleFormat.Float32 } });

    // Five tones up to 0.88 of the Nyquist frequency, at real-valued frames.
    private static float[] Tones(int frames, Func<int, double> frameOf)
    {
        double[] cyclesPerFrame = [0.0113, 0.0731, 0.183, 0.317, 0.44];
        var signal = new float[frames];
        for (var i = 0; i < frames; i++)
        {
            var at = frameOf(i);
            var sum = 0.0;
            foreach (var cycles in cyclesPerFrame)
                sum += 0.18 * Math.Sin(2 * Math.PI * cycles * at);
            signal[i] = (float)sum;
        }
        return signal;
    }
}
