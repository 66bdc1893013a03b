using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Plugins.Automation;

/// <summary>RMS over a third of a second, in dBFS on the AES17 scale (a full-scale sine reads 0), for a host's meter.</summary>
/// <remarks>Thread: Prepare [main], the rest [audio]. Allocates: never.</remarks>
internal sealed class LevelReading
{
    private const double TimeConstantSeconds = 0.3;

    // -140 dBFS: below it a level reads as silence, and no mean square decays towards denormal numbers.
    private const double Floor = 1e-14;

    private double sampleRateHz = 48000;
    private double meanSquare, sum;
    private int frames;

    public void Prepare(double sampleRateHz)
    {
        this.sampleRateHz = sampleRateHz;
        Reset();
    }

    public void Reset() => (meanSquare, sum, frames) = (0, 0, 0);

    /// <summary>Takes a part of a block.</summary>
    public void Add(ReadOnlySpan<float> samples)
    {
        sum += SignalPower.SumOfSquares(samples);
        frames += samples.Length;
    }

    /// <summary>The level after what has been added since the last reading.</summary>
    public double Read()
    {
        if (frames > 0)
        {
            var now = sum / frames;
            meanSquare = now + Math.Exp(-frames / (sampleRateHz * TimeConstantSeconds)) * (meanSquare - now);
            if (meanSquare < Floor)
                meanSquare = 0;
        }
        (sum, frames) = (0, 0);
        return meanSquare > 0 ? 10 * Math.Log10(2 * meanSquare) : double.NegativeInfinity;
    }

    public double Next(ReadOnlySpan<float> samples)
    {
        Add(samples);
        return Read();
    }
}
