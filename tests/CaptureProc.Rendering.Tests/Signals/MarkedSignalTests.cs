using CaptureProc.Rendering.Signals;

namespace CaptureProc.Rendering.Tests.Signals;

public class MarkedSignalTests
{
    // A symmetric pulse's centre of gravity, taken over the square, is its time.
    private static double CentreFrames(double[] samples, int from, int to)
    {
        var (sum, weight) = (0.0, 0.0);
        for (var i = from; i < to; i++)
        {
            sum += i * samples[i] * samples[i];
            weight += samples[i] * samples[i];
        }
        return sum / weight;
    }

    [Theory]
    [InlineData(48000, 0.5)]
    [InlineData(44100, 0.3333)]
    public void ClicksStandAtTheirTimesToAThousandthOfAFrame(int rateHz, double spacingSeconds)
    {
        var train = new ClickTrain(rateHz, 5 * rateHz, 1, -6, spacingSeconds);
        var samples = new double[5 * rateHz];
        train.Render(0, 0, samples);
        Assert.Equal((int)Math.Floor(5 / spacingSeconds), train.ClickCount);
        for (var k = 0; k < train.ClickCount; k++)
        {
            var at = train.TimeOfClickSeconds(k) * rateHz;
            Assert.Equal(at, CentreFrames(samples, (int)at - 60, (int)at + 60), 0.001);
            Assert.True(samples[(int)Math.Round(at)] > 0.3);
        }
        Assert.Equal(spacingSeconds, train.TimeOfClickSeconds(1) - train.TimeOfClickSeconds(0), 1e-12);
    }

    [Fact]
    public void AClickIsFlatToFourTenthsOfTheRateAndPeaksAtItsLevel()
    {
        const int rateHz = 48000;
        var train = new ClickTrain(rateHz, rateHz, 1, -6, 1);
        var samples = new double[rateHz];
        train.Render(0, 0, samples);
        Assert.Equal(Math.Pow(10, -6 / 20.0), samples.Max(), 1e-9);
        double MagnitudeAt(double perRate)
        {
            var (re, im) = (0.0, 0.0);
            for (var i = rateHz / 2 - 60; i < rateHz / 2 + 60; i++)
            {
                re += samples[i] * Math.Cos(2 * Math.PI * perRate * i);
                im += samples[i] * Math.Sin(2 * Math.PI * perRate * i);
            }
            return Math.Sqrt(re * re + im * im);
        }

        var low = MagnitudeAt(0.01);
        for (var f = 0.0; f <= 0.4; f += 0.01)
            Assert.InRange(20 * Math.Log10(MagnitudeAt(f) / low), -0.01, 0.01);
        Assert.True(20 * Math.Log10(MagnitudeAt(0.499) / low) < -60);
    }

    [Theory]
    [InlineData(4)]
    [InlineData(12)]
    public void ChannelNGivesNPipsWhileAllOthersAreSilent(int channels)
    {
        const int rateHz = 16000;
        var idents = new ChannelIdents(rateHz, (long)(2.1 * ChannelIdents.CallSeconds(channels) * rateHz), channels, -12);
        var sounding = new bool[channels][];
        for (var channel = 0; channel < channels; channel++)
        {
            var samples = new double[idents.FrameCount];
            idents.Render(channel, 0, samples);
            // RMS over 10 ms says whether a pip is on.
            sounding[channel] = [.. samples.Chunk(rateHz / 100).Select(c => Math.Sqrt(c.Average(s => s * s)) > 0.01)];
            var pips = sounding[channel].Zip(sounding[channel].Skip(1), (before, after) => !before && after).Count(starts => starts);
            Assert.Equal(2 * (channel + 1), pips);
            Assert.Equal(Math.Pow(10, -12 / 20.0), samples.Max(), 0.001);
        }
        for (var i = 0; i < sounding[0].Length; i++)
            Assert.True(sounding.Count(s => s[i]) <= 1);
    }
}
