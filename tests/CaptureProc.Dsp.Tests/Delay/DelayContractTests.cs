using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Delay;

public sealed class FractionalDelayContract : ProcessorContract
{
    protected override IPlanarProcessor Create() => new FractionalDelay(4, 123.456, maxDelaySamples: 1000, MaxBlockFrames);
}

public sealed class FractionalDelayByWholeSamplesContract : ProcessorContract
{
    protected override IPlanarProcessor Create() => new FractionalDelay(1, 5, maxDelaySamples: 5, MaxBlockFrames);
}

public sealed class FractionalDelayDuringItsFadeContract : ProcessorContract
{
    // Changed before its first block, it fades from the first frame on, while a reset one has arrived.
    protected override bool ResetReturnsToTheStart => false;

    protected override IPlanarProcessor Create()
    {
        var delay = new FractionalDelay(2, 0.5, maxDelaySamples: 100, MaxBlockFrames, crossfadeFrames: 3000);
        delay.SetDelay(77.7);
        return delay;
    }
}

public sealed class ConstantDelayContract : ProcessorContract
{
    protected override IPlanarProcessor Create() => new ConstantDelay(2, -12.34, MaxBlockFrames);
}
