using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Ambisonics;

/// <summary>Energy from ahead against energy from behind, smoothed over seconds: what to watch while the array is being placed.</summary>
/// <remarks>
/// Thread: constructor [main], the rest [audio]. Allocates: never afterwards.
/// Definition: two virtual cardioids from the sound field, ahead (W + X)/2 and behind (W − X)/2; the mean squares of both run
/// through a one-pole smoother of <see cref="TimeConstantSeconds"/>. A diffuse field reads 0 dB, sound from straight ahead alone
/// reads as far up as the array separates. First order cannot do better than about 3 dB for sound from 60° off the front.
/// </remarks>
public sealed class FrontBackEnergy
{
    public const double TimeConstantSeconds = 3;

    // -200 dBFS in power: below that there is no sound to compare, and no denormal number to come.
    private const double Floor = 1e-20;

    private readonly double sampleRateHz;
    private double ahead, behind;

    public FrontBackEnergy(double sampleRateHz)
    {
        if (!(sampleRateHz > 0))
            throw new ArgumentOutOfRangeException(nameof(sampleRateHz), sampleRateHz, "The sample rate has to be positive.");
        this.sampleRateHz = sampleRateHz;
    }

    /// <summary>Ahead over behind in dB, −60…60; 0 while nothing has sounded.</summary>
    public double RatioDb => Math.Clamp(10 * Math.Log10((ahead + Floor) / (behind + Floor)), -60, 60);

    /// <summary>Takes the next frames of W and X (SN3D), finite samples.</summary>
    public void Add(ReadOnlySpan<float> w, ReadOnlySpan<float> x)
    {
        if (w.Length != x.Length)
            throw new ArgumentException($"W has {w.Length} samples, X {x.Length}.", nameof(x));
        if (w.IsEmpty)
            return;
        var sum = SignalPower.SumOfSquares(w) + SignalPower.SumOfSquares(x);
        var cross = SignalPower.SumOfProducts(w, x);
        // (W ± X)²/4 = (W² + X² ± 2WX)/4; rounding may leave a hair below zero.
        var keep = Math.Exp(-w.Length / (sampleRateHz * TimeConstantSeconds));
        ahead = Smooth(ahead, Math.Max(0, sum + 2 * cross) / (4 * w.Length), keep);
        behind = Smooth(behind, Math.Max(0, sum - 2 * cross) / (4 * w.Length), keep);
    }

    public void Reset() => ahead = behind = 0;

    private static double Smooth(double past, double now, double keep)
    {
        var value = now + keep * (past - now);
        return value > Floor ? value : 0;
    }
}
