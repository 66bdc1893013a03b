using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Disturbances;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Tests.Disturbances;

public sealed class BackgroundTests
{
    private const double RateHz = 48000;

    /// <summary>A clap at the end, three seconds of background before it.</summary>
    private static readonly Scene Quiet = new(new Room(new Vector3D(14, 11, 6), 1.0), RateHz, 4, 5)
    {
        Arrays = [new SceneArray("main", new Vector3D(6, 5, 2), new(SceneGenerator.Tetrahedron, 0.015, 0.5, Rotation3D.Identity))],
        Sources = [new SceneSource("player", new Vector3D(8.5, 5, 1.2))],
        Spots = [new SceneSpot("spot", "player", new Vector3D(8.1, 5.2, 1.3))],
        Clicks = [new ClickEvent(3.7, "player")],
        Noise = new NoiseFloor(50),
        FreeField = true,
    };

    [Fact]
    public void HumIsARowOfLinesAtTheMainsAndItsHarmonics()
    {
        double[] levels = [0, -20, -3, -20, -10];
        var recording = SceneRenderer.Render(Quiet with { Background = [new Hum(30, 50.02, levels)] });
        foreach (var channel in (int[])[0, 4])
        {
            var total = Power(recording.Channels[channel], 0, 144000);
            var lines = new double[levels.Length];
            for (var h = 0; h < lines.Length; h++)
                lines[h] = LinePower(recording.Channels[channel], (h + 1) * 50.02);
            Assert.InRange(lines.Sum() / total, 0.99, 1.01);
            for (var h = 1; h < lines.Length; h++)
                Assert.Equal(levels[h], 10 * Math.Log10(lines[h] / lines[0]), 0.2);
        }
    }

    [Fact]
    public void VentilationIsOneFieldForTheArrayAndAnotherForTheSpot()
    {
        var quiet = SceneRenderer.RenderStems(Quiet with { Background = [DiffuseNoise.Ventilation(20)] }).Recording();
        var low = Array.ConvertAll(quiet.Channels, channel => LowPassed(channel));
        // Two cardioids 109.5° apart in a diffuse field of first order: (α² + (1−α)²·cos/3)/(α² + (1−α)²/3) = (1 − 1/9)/(1 + 1/3) = 0.667.
        Assert.Equal(0.667, Correlation(low[0], low[1]), 0.1);
        Assert.Equal(0, Correlation(low[0], low[4]), 0.15);
    }

    [Theory]
    [InlineData(12)]
    [InlineData(0)]
    public void BackgroundStandsAsFarOverTheNoiseAsItWasAskedTo(double overDb)
    {
        // Powers add: 1 + 10^(over/10). The wanted peak-to-noise is measured by the stems' own change of level.
        foreach (var background in (Background[])[DiffuseNoise.Audience(overDb), new Wind(overDb)])
        {
            var with = SceneRenderer.Render(Quiet with { Background = [background] });
            var without = SceneRenderer.Render(Quiet with { Background = [new Hum(-100, 50, [0])] });
            var rise = Power(with.Channels[4], 0, 144000) / Power(without.Channels[4], 0, 144000)
                * Math.Pow(Peak(without.Channels[4]) / Peak(with.Channels[4]), 2);
            // Slow noise has few independent samples: a decibel or two in three seconds.
            Assert.Equal(10 * Math.Log10(1 + Math.Pow(10, overDb / 10)), 10 * Math.Log10(rise), 2.0);
        }
    }

    [Fact]
    public void WindIsAnotherOneInEveryCapsule()
    {
        var recording = SceneRenderer.Render(Quiet with { Background = [new Wind(30)] });
        Assert.InRange(Correlation(LowPassed(recording.Channels[0]), LowPassed(recording.Channels[1])), -0.3, 0.3);
    }

    [Fact]
    public void OneSceneIsHeardAtManyRatiosOfSignalToNoise()
    {
        var scene = Quiet with { Background = [DiffuseNoise.Ventilation(3), new Hum(0, 50, [0, -6])] };
        var stems = SceneRenderer.RenderStems(scene);
        var loud = Power(stems.At(20).Channels[4], 0, 144000);
        var low = Power(stems.At(60).Channels[4], 0, 144000);
        // 40 dB, but for the common gain that follows the peak.
        var peaks = Peak(stems.At(60).Channels[4]) / Peak(stems.At(20).Channels[4]);
        Assert.Equal(40, 10 * Math.Log10(loud / low * peaks * peaks), 1.0);
        Assert.Equal(20, stems.At(20).Truth.Clicks[0].SignalToNoiseDb, 6);
        Assert.Equal(SceneRenderer.Render(scene).Channels[2], stems.At(50).Channels[2]);
        Assert.Throws<InvalidOperationException>(() => SceneRenderer.RenderStems(scene with { Noise = null, Background = [] }).At(20));
        Assert.Throws<ArgumentException>(() => SceneRenderer.Render(scene with { Noise = null }));
    }

    [Fact]
    public void QuickNoiseIsGaussianOfTheRmsAskedFor()
    {
        var chance = new SeededRandom(3);
        var numbers = new double[400000];
        QuickGaussian.Fill(chance, 2, numbers);
        double Moment(int power) => numbers.Sum(x => Math.Pow(x / 2, power)) / numbers.Length;
        Assert.Equal(0, Moment(1), 0.01);
        Assert.Equal(1, Moment(2), 0.01);
        Assert.Equal(3, Moment(4), 0.06);
        // 0.2700 % lie beyond three deviations, 0.0063 % beyond four.
        Assert.Equal(0.0027, numbers.Count(x => Math.Abs(x) > 6) / 400000.0, 0.0004);
        Assert.Equal(0.000063, numbers.Count(x => Math.Abs(x) > 8) / 400000.0, 0.00006);

        foreach (var share in (double[])[0, 0.3, 1])
        {
            var noise = new double[400000];
            QuickNoise.Add(noise, 0.5, share, chance);
            Assert.Equal(0.5, Math.Sqrt(noise.Sum(x => x * x) / noise.Length), share == 1 ? 0.04 : 0.015);
        }
    }

    private static double Power(float[] channel, int from, int to)
    {
        var sum = 0.0;
        for (var i = from; i < to; i++)
            sum += (double)channel[i] * channel[i];
        return sum / (to - from);
    }

    private static float Peak(float[] channel) => channel.Skip(150000).Max(Math.Abs);

    /// <summary>Power of a sine of a frequency, fitted under a Hann window over three seconds.</summary>
    private static double LinePower(float[] channel, double hz)
    {
        const int count = 144000;
        var (re, im, weight) = (0.0, 0.0, 0.0);
        for (var i = 0; i < count; i++)
        {
            var hann = 0.5 - 0.5 * Math.Cos(2 * Math.PI * i / count);
            var (sin, cos) = Math.SinCos(2 * Math.PI * hz / RateHz * i);
            (re, im, weight) = (re + hann * cos * channel[i], im + hann * sin * channel[i], weight + hann);
        }
        return 2 * (re * re + im * im) / (weight * weight);
    }

    private static double[] LowPassed(float[] channel)
    {
        var low = new double[144000];
        var state = 0.0;
        for (var i = 0; i < low.Length; i++)
            low[i] = state += 0.05 * (channel[i] - state);
        return low;
    }

    private static double Correlation(double[] a, double[] b)
    {
        var (ab, aa, bb) = (0.0, 0.0, 0.0);
        for (var i = 0; i < a.Length; i++)
            (ab, aa, bb) = (ab + a[i] * b[i], aa + a[i] * a[i], bb + b[i] * b[i]);
        return ab / Math.Sqrt(aa * bb);
    }
}
