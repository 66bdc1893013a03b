using CaptureProc.Dsp.Parameters;
using CaptureProc.Dsp.Tests.Contract;

namespace CaptureProc.Dsp.Tests.Parameters;

public sealed class LinearRampTests
{
    [Fact]
    public void ValueStandsOnTheStraightLineAtEveryFrame()
    {
        var ramp = new LinearRamp(0.25f);
        ramp.MoveTo(1.25f, 1000);
        var values = new float[1500];
        ramp.Fill(values);
        for (var frame = 0; frame < values.Length; frame++)
            Assert.Equal(0.25 + Math.Min(frame, 1000) / 1000.0, values[frame], 2e-7);
        Assert.Equal(1.25f, values[1000]);
        Assert.Equal(1.25f, values[^1]);
    }

    // Automation points at frames 100, 137 and 400, as a host gives them; between points the line, behind the last its value.
    [Fact]
    public void PointsOfAnAutomationAreMetExactly()
    {
        var ramp = new LinearRamp(0);
        var ones = new float[100];
        Array.Fill(ones, 1);
        var output = new float[500];
        var at = 0;
        foreach (var (frame, value) in ((int, float)[])[(100, 1f), (137, -0.5f), (400, 0.3f), (500, 0.3f)])
        {
            ramp.MoveTo(value, frame - at);
            while (at < frame)
            {
                var length = Math.Min(33, frame - at);
                ramp.Apply(ones.AsSpan(0, length), output.AsSpan(at));
                ramp.Advance(length);
                at += length;
            }
        }

        Assert.Equal(0f, output[0]);
        Assert.Equal(0.5f, output[50], 1e-6f);
        Assert.Equal(1f, output[100]);
        Assert.Equal(-0.5f, output[137]);
        Assert.Equal(0.3f, output[400]);
        Assert.Equal(0.3f, output[499]);
        for (var frame = 137; frame < 400; frame++)
            Assert.Equal(-0.5 + 0.8 * (frame - 137) / 263.0, output[frame], 1e-6);
    }

    [Fact]
    public void GainIsIndependentOfBlockSize()
    {
        var input = Signals.Noise(1, 1000, seed: 1)[0];
        var whole = Ramped(input, 1000);
        foreach (var block in (int[])[1, 7, 8, 9, 31, 64])
            Assert.Equal(whole, Ramped(input, block));

        static float[] Ramped(float[] input, int block)
        {
            var ramp = new LinearRamp(1);
            ramp.MoveTo(0.1f, 777);
            var output = new float[input.Length];
            foreach (var (start, frames) in new Cutter(block).Cut(input.Length))
            {
                ramp.Apply(input.AsSpan(start, frames), output.AsSpan(start));
                ramp.Advance(frames);
            }

            return output;
        }
    }

    [Fact]
    public void UnitGainReturnsTheVerySamplesAndZeroSilence()
    {
        var input = Signals.Noise(1, 101, seed: 2)[0];
        var output = new float[101];
        Gain.Apply(1, input, output);
        Assert.Equal(input, output);
        Gain.Apply(0, input, output);
        Assert.All(output, x => Assert.Equal(0f, x));
        Gain.Apply(-2, input, input);
        Assert.Equal(Array.ConvertAll(Signals.Noise(1, 101, seed: 2)[0], x => -2 * x), input);
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(20, 10)]
    [InlineData(-20, 0.1)]
    [InlineData(6.020599913279624, 2)]
    public void DecibelsAreTwentyTimesTheLogarithmOfTheFactor(double gainDb, double factor)
    {
        Assert.Equal(factor, Gain.FromDb(gainDb), 1e-6 * factor);
        Assert.Equal(gainDb, Gain.ToDb(factor), 1e-12);
    }
}
