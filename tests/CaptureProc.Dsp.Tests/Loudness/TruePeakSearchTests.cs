using CaptureProc.Dsp.Delay;
using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;

namespace CaptureProc.Dsp.Tests.Loudness;

/// <summary>The meter looks closely only where a peak can be; what it finds is what a look everywhere finds.</summary>
/// <remarks>The reference is the definition itself: every point of every phase, by the windowed sinc of the meter, in double precision.</remarks>
public sealed class TruePeakSearchTests
{
    private const int HalfTaps = 16;
    private const int Phases = 8;

    public static TheoryData<string> Signals => ["white", "near the top", "tone", "click", "worst case", "steps", "swelling"];

    [Theory]
    [MemberData(nameof(Signals))]
    public void TheHighestPointIsNeverMissed(string kind)
    {
        for (var seed = 1; seed <= 60; seed++)
        {
            var signal = Make(kind, new Random(seed));
            var meter = new TruePeakMeter(48000, 1);
            var padded = new float[1][] { [.. signal] };
            meter.Process(new ReadOnlyPlanarSpan(padded, 0, signal.Length));
            meter.Flush();
            Assert.Equal(20 * Math.Log10(HighestOfAll(signal)), meter.PeakDbtp(0), 1e-4);
        }
    }

    private static double HighestOfAll(float[] signal)
    {
        var window = new KaiserWindow(4.9);
        var kernel = new double[Phases, 2 * HalfTaps];
        for (var phase = 0; phase < Phases; phase++)
            for (var tap = 0; tap < 2 * HalfTaps; tap++)
            {
                var offset = HalfTaps - 1 - tap + phase / (double)Phases;
                kernel[phase, tap] = phase == 0 ? offset == 0 ? 1 : 0 : Sinc.At(offset) * window.Evaluate(offset / HalfTaps);
            }
        var highest = 0.0;
        for (var at = -2 * HalfTaps; at < signal.Length + HalfTaps; at++)
            for (var phase = 0; phase < Phases; phase++)
            {
                var sum = 0.0;
                for (var tap = 0; tap < 2 * HalfTaps; tap++)
                    if (at + tap is var n && n >= 0 && n < signal.Length)
                        sum += kernel[phase, tap] * signal[n];
                highest = Math.Max(highest, Math.Abs(sum));
            }
        return highest;
    }

    private static float[] Make(string kind, Random random)
    {
        var signal = new float[300];
        var (frequency, phase) = (random.NextDouble() * 0.5, random.NextDouble() * 2 * Math.PI);
        for (var n = 0; n < signal.Length; n++)
        {
            signal[n] = (float)(kind switch
            {
                "white" => random.NextDouble() - 0.5,
                // All of it above nine tenths of the band, where waves between the samples stand highest over them.
                "near the top" => 0.2 * (Math.Cos(Math.PI * n * 0.97 + phase) + Math.Cos(Math.PI * n * 0.93) + Math.Cos(Math.PI * n * 0.999 + frequency)),
                "tone" => 0.7 * Math.Cos(2 * Math.PI * frequency * n + phase),
                "click" => n == 150 ? 0.8 : 0,
                "steps" => random.Next(2) == 0 ? 0.5 : -0.5,
                "swelling" => Math.Exp((n - 150) / 40.0) * 0.01 * (random.NextDouble() - 0.5),
                _ => 0,
            });
        }
        if (kind == "worst case")
        {
            // The signs that make one point between the samples as high as any signal can, on a floor of noise.
            var worst = random.Next(1, Phases) / (double)Phases;
            for (var tap = 0; tap < 2 * HalfTaps; tap++)
                signal[120 + tap] = 0.3f * Math.Sign(Sinc.At(HalfTaps - 1 - tap + worst));
            for (var n = 0; n < signal.Length; n++)
                signal[n] += 0.05f * (float)(random.NextDouble() - 0.5);
        }
        return signal;
    }
}
