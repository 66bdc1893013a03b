using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Delay;

public sealed class FrameDelayContract : ProcessorContract
{
    protected override IPlanarProcessor Create() => new FrameDelay(3, 100, MaxBlockFrames);
}

public sealed class FrameDelayTests
{
    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(63)]
    [InlineData(500)]
    public void SamplesComeOutUntouchedAfterTheDelay(int delayFrames)
    {
        var delay = new FrameDelay(1, delayFrames, 64);
        var input = Signals.Noise(1, 1000, seed: 3);
        var output = ProcessorContract.Run(delay, input, new Cutter(64));
        for (var n = 0; n < 1000; n++)
            Assert.Equal(n < delayFrames ? 0 : input[0][n - delayFrames], output[0][n]);
    }
}
