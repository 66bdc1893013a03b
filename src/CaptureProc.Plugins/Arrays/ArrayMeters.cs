using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays;

/// <summary>The meters of the array plug-in: RMS of capsules and outputs over a third of a second, and front against back.</summary>
/// <remarks>Thread: Prepare [main], the rest [audio]. Levels are dBFS on the AES17 scale: a full-scale sine reads 0.</remarks>
internal sealed class ArrayMeters
{
    private const double TimeConstantSeconds = 0.3;

    // -140 dBFS: below it a level reads as silence, and no mean square decays towards denormal numbers.
    private const double Floor = 1e-14;

    private readonly double[] meanSquares = new double[8];
    private readonly double[] sums = new double[8];
    private FrontBackEnergy frontBack = new(48000);
    private double sampleRateHz = 48000;

    public void Prepare(double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        frontBack = new FrontBackEnergy(sampleRateHz);
        Reset();
    }

    public void Reset()
    {
        Array.Clear(meanSquares);
        Array.Clear(sums);
        frontBack.Reset();
    }

    /// <summary>Takes a part of the block.</summary>
    public void Add(ArrayEngine engine, ReadOnlyPlanarSpan output)
    {
        for (var i = 0; i < 4; i++)
        {
            sums[i] += SignalPower.SumOfSquares(engine.Trimmed(i, output.Frames));
            sums[4 + i] += SignalPower.SumOfSquares(output[i]);
        }
        frontBack.Add(engine.Field(0, output.Frames), engine.Field(3, output.Frames));
    }

    /// <summary>Shows the meters at the end of a block.</summary>
    public void Show(MeterBank bank, int frames)
    {
        var keep = Math.Exp(-frames / (sampleRateHz * TimeConstantSeconds));
        for (var i = 0; i < meanSquares.Length; i++)
        {
            var now = sums[i] / frames;
            sums[i] = 0;
            meanSquares[i] = now + keep * (meanSquares[i] - now);
            if (meanSquares[i] < Floor)
                meanSquares[i] = 0;
            bank.Set((i < 4 ? CapsuleLevel : OutputLevel - 4) + i, meanSquares[i] > 0 ? 10 * Math.Log10(2 * meanSquares[i]) : double.NegativeInfinity);
        }
        bank.Set(FrontBack, frontBack.RatioDb);
    }
}
