using CaptureProc.Dsp.RealTime;
using CaptureProc.Plugins.Arrays.LineUp;

namespace CaptureProc.Plugins.Tests.Arrays;

public sealed class ArrayLineUpTests
{
    // The audio thread and the worker by turns, as if it looked in ten times a second.
    private static void Run(ArrayLineUp lineUp, float[][] noise, double rateHz)
    {
        lineUp.Follow(true, rateHz);
        for (var first = 0; first < noise[0].Length; first += 480)
        {
            lineUp.Hear(new ReadOnlyPlanarSpan(noise, first, Math.Min(480, noise[0].Length - first)));
            if (first % 4800 == 0)
                lineUp.Read(0, 0.1);
        }
    }

    [Fact]
    public void NeitherHearingNorReadingAllocatesOnceItListens()
    {
        var noise = LineUpRecordings.AtOnce(2);
        Run(new ArrayLineUp(), noise, LineUpRecordings.RateHz);
        var fresh = new ArrayLineUp();
        fresh.Follow(true, LineUpRecordings.RateHz);
        var before = GC.GetAllocatedBytesForCurrentThread();
        Run(fresh, noise, LineUpRecordings.RateHz);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
        Assert.True(fresh.TryKeep());
    }

    [Fact]
    public void ACopyStaysAsItWasWhileTheAudioThreadHearsOn()
    {
        var noise = LineUpRecordings.AtOnce(3);
        var listening = new LineUpListening(LineUpRecordings.RateHz);
        for (var first = 0; first < 48000; first += 480)
            listening.Hear(new ReadOnlyPlanarSpan(noise, first, 480));
        var copy = listening.TryTake()!;
        var (hops, loudest) = (copy.HopsHeard, copy.LoudestDbfs[1]);
        for (var first = 48000; first < 144000; first += 480)
            listening.Hear(new ReadOnlyPlanarSpan(noise, first, 480));
        Assert.Equal((1L, loudest), (copy.HopsHeard, copy.LoudestDbfs[1]));
        Assert.Equal(1, hops);
        Assert.Same(copy, listening.TryTake());

        listening.GiveBack();
        Assert.Null(listening.TryTake());
        listening.Hear(new ReadOnlyPlanarSpan(noise, 144000, 480));
        // A frame of 8192 at every 4096, the last of them still being worked on.
        Assert.InRange(listening.TryTake()!.HopsHeard, 33, 34);
    }

    [Fact]
    public void AnotherRateBeginsTheLineUpAnewAndTheSameRateDoesNot()
    {
        var lineUp = new ArrayLineUp();
        var noise = LineUpRecordings.AtOnce(2);
        Run(lineUp, noise, LineUpRecordings.RateHz);
        lineUp.Follow(true, LineUpRecordings.RateHz);
        Assert.True(lineUp.TryKeep());
        var kept = lineUp.Kept;

        lineUp.Follow(true, 96000);
        lineUp.Read(0, 0.1);
        Assert.False(lineUp.TryKeep());
        // A touch in vain loses nothing.
        Assert.Same(kept, lineUp.Kept);
    }
}
