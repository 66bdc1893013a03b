using CaptureProc.Dsp.Matrix;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Matrix;

public sealed class SumPowerTests
{
    private const double SampleRateHz = 48000;

    [Fact]
    public void PowersOfASumStandToEachOtherAsThoseOfTheSumsMadeWithEachSetOfGains()
    {
        var signals = Signals.Noise(4, 96000, 1);
        // Something in common, as capsules have.
        for (var n = 0; n < signals[0].Length; n++)
            for (var c = 1; c < 4; c++)
                signals[c][n] += 0.8f * signals[0][n];
        var power = Heard(signals);
        float[] a = [1, 1, 1, 1], b = [1, -0.5f, 2, 0.25f], c2 = [0, 0, 1, 0];
        foreach (var gains in new[] { b, c2 })
        {
            var expected = MeanSquare(signals, gains) / MeanSquare(signals, a);
            // The means forget older sound, the closed form does not: noise of two seconds agrees with itself to some hundredths of a decibel.
            Assert.Equal(10 * Math.Log10(expected), 10 * Math.Log10(power.With(gains) / power.With(a)), 0.1);
        }
    }

    [Fact]
    public void ASteadyToneGivesThePowerItself()
    {
        var tone = Enumerable.Range(0, 480000).Select(n => (float)Math.Sin(2 * Math.PI * 1000 * n / SampleRateHz)).ToArray();
        var power = Heard([tone, tone, tone, tone]);
        // (Σ g)² / 2; after ten seconds what the means began with is 0.7 % of them.
        Assert.Equal(8, power.With([1, 1, 1, 1]) / (1 - Math.Exp(-5)), 0.01);
        Assert.Equal(0, power.With([1, -1, 1, -1]), 1e-5);
    }

    [Fact]
    public void WhereThereIsNoSoundItCannotTell()
    {
        Assert.Equal(0, Heard(Signals.Silence(4, 96000)).With([1, 1, 1, 1]));
        var power = Heard(Signals.Noise(4, 96000, 2));
        Assert.True(power.With([1, 0, 0, 0]) > 0.1);
        power.Reset();
        Assert.Equal(0, power.With([1, 0, 0, 0]));
    }

    [Theory]
    [InlineData(64)]
    [InlineData(4096)]
    public void WhereTheStreamIsCutChangesNothing(int frames)
    {
        var signals = Signals.Noise(4, 65536, 3);
        var whole = Heard(signals, 65536);
        Assert.Equal(whole.With([1, 2, 3, 4]), Heard(signals, frames).With([1, 2, 3, 4]));
    }

    private static SumPower Heard(float[][] signals, int blockFrames = 1000)
    {
        var power = new SumPower(SampleRateHz);
        for (var start = 0; start < signals[0].Length; start += blockFrames)
            power.Add(new ReadOnlyPlanarSpan(signals, start, Math.Min(blockFrames, signals[0].Length - start)));
        return power;
    }

    private static double MeanSquare(float[][] signals, float[] gains)
    {
        var sum = 0.0;
        for (var n = 0; n < signals[0].Length; n++)
        {
            var value = 0.0;
            for (var c = 0; c < 4; c++)
                value += gains[c] * signals[c][n];
            sum += value * value;
        }
        return sum / signals[0].Length;
    }
}
