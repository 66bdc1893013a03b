using CaptureProc.Dsp.Parameters;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Parameters;

public sealed class LevelMeterTests
{
    private const double RateHz = 48000;

    // AES17: a full-scale sine reads 0 dB. After ten time constants the rest of the start is e^-10; the ripple at 2·997 Hz is
    // 1/(2·2π·997·2·0.3 s) of the mean square, 0.001 dB.
    [Theory]
    [InlineData(1, 0)]
    [InlineData(0.1, -20)]
    public void SineReadsItsAes17Level(double amplitude, double expectedDb)
    {
        var meter = new LevelMeter(RateHz);
        meter.Process(Sine(amplitude, seconds: 3));
        Assert.Equal(expectedDb, meter.RmsDb, 0.002);
        // 997 Hz meets its crest within half a sample: cos(π·997/48000) = 0.998, 0.02 dB.
        Assert.Equal(expectedDb, meter.PeakDb, 0.02);
    }

    // The definition, one sample at a time.
    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(8)]
    [InlineData(9)]
    [InlineData(250)]
    public void ReadingIsThatOfThePlainRecursionWhateverTheBlock(int block)
    {
        var meter = new LevelMeter(RateHz, averagingSeconds: 0.01, peakFallDbPerSecond: 600);
        var noise = Signals.Noise(1, 1000, seed: 1)[0];
        Array.Clear(noise, 600, 400);
        var (keep, fall) = (Math.Exp(-1 / (0.01 * RateHz)), Math.Pow(10, -600 / 20.0 / RateHz));
        var (meanSquare, peak) = (0.0, 0.0);
        foreach (var (start, frames) in new Cutter(block).Cut(noise.Length))
        {
            meter.Process(noise.AsSpan(start, frames));
            foreach (var x in noise.AsSpan(start, frames))
            {
                meanSquare = keep * meanSquare + (1 - keep) * x * x;
                peak = Math.Max(fall * peak, Math.Abs(x));
            }

            Assert.Equal(meanSquare, meter.MeanSquare, 1e-12);
            Assert.Equal(peak, meter.Peak, 1e-12);
        }
    }

    [Fact]
    public void StepReachesSixtyThreePercentAfterTheTimeConstant()
    {
        var meter = new LevelMeter(RateHz, averagingSeconds: 0.1);
        var ones = new float[4800];
        Array.Fill(ones, 1);
        meter.Process(ones);
        Assert.Equal(1 - Math.Exp(-1), meter.MeanSquare, 1e-9);
    }

    [Fact]
    public void SilenceEndsAtZeroAndNotInDenormals()
    {
        var meter = new LevelMeter(RateHz, averagingSeconds: 0.001);
        meter.Process(Sine(1, seconds: 0.1));
        var silence = new float[512];
        for (var block = 0; block < 100_000 && meter.Peak > 0; block++)
        {
            meter.Process(silence);
            Assert.True(meter.MeanSquare is 0 or >= 1e-30);
            Assert.True(meter.Peak is 0 or >= 1e-30);
        }

        Assert.Equal(0, meter.MeanSquare);
        Assert.Equal(0, meter.Peak);
    }

    [Fact]
    public void UnusableBlockCountsAsSilence()
    {
        var (spoilt, muted) = (new LevelMeter(RateHz), new LevelMeter(RateHz));
        var noise = Signals.Noise(1, 100, seed: 2)[0];
        spoilt.Process(noise);
        muted.Process(noise);
        noise[50] = float.NaN;
        spoilt.Process(noise);
        muted.Process(new float[100]);
        Assert.Equal(muted.MeanSquare, spoilt.MeanSquare, 1e-15);
        Assert.Equal(muted.Peak, spoilt.Peak, 1e-15);
    }

    [Fact]
    public void MeteringAllocatesNothing()
    {
        var meter = new LevelMeter(RateHz);
        var noise = Signals.Noise(1, 257, seed: 3)[0];
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var call = 0; call < 50; call++)
            meter.Process(noise);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    private static float[] Sine(double amplitude, double seconds)
    {
        var sine = new float[(int)(seconds * RateHz)];
        for (var n = 0; n < sine.Length; n++)
            sine[n] = (float)(amplitude * Math.Sin(2 * Math.PI * 997 * n / RateHz));
        return sine;
    }
}
