using System.Runtime.Intrinsics;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Parameters;

/// <summary>Running level of one channel: mean square through a one-pole low-pass, and peak with an exponential fall.</summary>
/// <remarks>
/// Thread: [audio]; the results may be read from any thread, each by itself. Allocates: never.
/// Unit:   MeanSquare and Peak are linear in full scale; RmsDb is on the AES17 scale, where a full-scale sine reads 0 dB.
/// Recursions: m ← d·m + (1 − d)·x², p ← max(f·p, |x|) at every sample, d and f from the time constants. Eight samples at a
/// time: since both recursions are linear in what they carry, eight steps are one step with d⁸ and a weighted sum (a weighted maximum).
/// Small numbers: kept in double and set to zero below 10⁻³⁰ (−300 dB), so that no silence, however long, ends in denormals.
/// Bad input: a block that is not usable (see <see cref="SampleGuard"/>) counts as silence.
/// </remarks>
public sealed class LevelMeter
{
    private const int Group = 8;
    private const double Negligible = 1e-30;

    private readonly double keepGroup, keepOne, fallGroup, fallOne;
    private readonly double[] keep = new double[Group];
    private readonly double[] fall = new double[Group];
    private double meanSquare;
    private double peak;

    /// <param name="sampleRateHz">Rate of the stream.</param>
    /// <param name="averagingSeconds">Time constant of the mean square: after it, 63 % of a step has arrived.</param>
    /// <param name="peakFallDbPerSecond">How fast the peak reading falls.</param>
    public LevelMeter(double sampleRateHz, double averagingSeconds = 0.3, double peakFallDbPerSecond = 12)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(sampleRateHz);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(averagingSeconds);
        ArgumentOutOfRangeException.ThrowIfNegative(peakFallDbPerSecond);
        keepOne = Math.Exp(-1 / (averagingSeconds * sampleRateHz));
        fallOne = Math.Pow(10, -peakFallDbPerSecond / 20 / sampleRateHz);
        for (var k = 0; k < Group; k++)
        {
            keep[k] = (1 - keepOne) * Math.Pow(keepOne, Group - 1 - k);
            fall[k] = Math.Pow(fallOne, Group - 1 - k);
        }

        (keepGroup, fallGroup) = (Math.Pow(keepOne, Group), Math.Pow(fallOne, Group));
    }

    public double MeanSquare => Volatile.Read(ref meanSquare);

    public double Peak => Volatile.Read(ref peak);

    /// <summary>Twice the mean square of a full-scale sine is 1, and reads 0 dB. Silence reads −∞.</summary>
    public double RmsDb => 10 * Math.Log10(2 * MeanSquare);

    public double PeakDb => 20 * Math.Log10(Peak);

    public void Process(ReadOnlySpan<float> samples)
    {
        var usable = SampleGuard.IsUsable(samples);
        var (m, p) = (meanSquare, peak);
        var frame = 0;
        if (usable)
        {
            for (; frame <= samples.Length - Group; frame += Group)
            {
                var (low, high) = Vector256.Widen(Vector256.Create(samples.Slice(frame, Group)));
                m = m * keepGroup + Vector256.Sum(low * low * Vector256.Create(keep) + high * high * Vector256.Create(keep, Group / 2));
                var fallen = Vector256.Max(Vector256.Abs(low) * Vector256.Create(fall), Vector256.Abs(high) * Vector256.Create(fall, Group / 2));
                p *= fallGroup;
                for (var lane = 0; lane < Group / 2; lane++)
                    p = Math.Max(p, fallen[lane]);
            }
        }

        for (; frame < samples.Length; frame++)
        {
            var x = usable ? (double)samples[frame] : 0;
            m = m * keepOne + x * x * (1 - keepOne);
            p = Math.Max(p * fallOne, Math.Abs(x));
        }

        Volatile.Write(ref meanSquare, m < Negligible ? 0 : m);
        Volatile.Write(ref peak, p < Negligible ? 0 : p);
    }

    public void Reset()
    {
        Volatile.Write(ref meanSquare, 0);
        Volatile.Write(ref peak, 0);
    }
}
