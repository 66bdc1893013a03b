using System.Numerics;
using CaptureProc.Rendering.Signals;
using CaptureProc.Wav;
using MathNet.Numerics;
using MathNet.Numerics.IntegralTransforms;

namespace CaptureProc.Rendering.Tests.Signals;

public class PinkNoiseTests
{
    private const int RateHz = 48000;

    // The power of every line of one period, by MathNet's transform (which is none of ours).
    private static double[] LinePowers(PinkNoise noise, int firstFrame)
    {
        var period = new double[noise.PeriodFrames];
        noise.Render(0, firstFrame, period);
        var spectrum = Array.ConvertAll(period, x => new Complex(x, 0));
        Fourier.Forward(spectrum, FourierOptions.NoScaling);
        return [.. spectrum.Take(period.Length / 2).Select(c => 2 * c.Magnitude * c.Magnitude / period.Length / period.Length)];
    }

    [Theory]
    [InlineData(44100)]
    [InlineData(48000)]
    [InlineData(96000)]
    [InlineData(192000)]
    public void SpectrumFallsByExactlyThreeDecibelsAnOctaveFrom20HzTo20Khz(int rateHz)
    {
        var noise = new PinkNoise(rateHz, 10 * rateHz, 1, -12, null, seed: 3);
        var powers = LinePowers(noise, rateHz);
        var (first, last) = ((int)Math.Ceiling(20.0 * noise.PeriodFrames / rateHz), (int)(20000.0 * noise.PeriodFrames / rateHz));
        var octaves = Enumerable.Range(first, last - first + 1).Select(k => Math.Log2(k)).ToArray();
        var levels = Enumerable.Range(first, last - first + 1).Select(k => 10 * Math.Log10(powers[k])).ToArray();
        var (offset, slope) = Fit.Line(octaves, levels);

        Assert.Equal(-10 * Math.Log10(2), slope, 1e-6);
        Assert.All(levels.Zip(octaves), point => Assert.Equal(offset + slope * point.Second, point.First, 1e-5));
    }

    // IEC 61260-1:2014: centres 1000·G^(x/3), edges half a band away, G = 10^0.3. Pink noise has the same level in all of them.
    [Fact]
    public void ThirdOctaveLevelsAreEqualOverAllBandsFrom20HzTo20Khz()
    {
        var noise = new PinkNoise(RateHz, 10 * RateHz, 1, -12, null, seed: 4);
        var powers = LinePowers(noise, RateHz);
        var hzPerLine = (double)RateHz / noise.PeriodFrames;
        var levels = new List<double>();
        for (var x = -17; x <= 13; x++)
        {
            var (low, high) = (1000 * Math.Pow(10, 0.1 * (x - 0.5)), 1000 * Math.Pow(10, 0.1 * (x + 0.5)));
            // A line stands for the frequencies half a line around it, so a line on an edge counts in part.
            var power = 0.0;
            for (var k = 1; k < powers.Length; k++)
                power += powers[k] * Math.Clamp(Math.Min(high, (k + 0.5) * hzPerLine) - Math.Max(low, (k - 0.5) * hzPerLine), 0, hzPerLine) / hzPerLine;
            levels.Add(10 * Math.Log10(power));
        }
        // 31 bands share the whole power: each lies 10·lg 31 below the level.
        Assert.Equal(31, levels.Count);
        Assert.All(levels, level => Assert.Equal(-12 - 10 * Math.Log10(2) - 10 * Math.Log10(31), level, 0.05));
    }

    [Theory]
    [InlineData(-12, 10, SampleFormat.Pcm24)]
    [InlineData(-20, 3.7, SampleFormat.Float32)]
    [InlineData(-14, 0.5, SampleFormat.Pcm24)]
    public void SoxReadsTheLevelThatWasAskedFor(double levelDbfs, double seconds, SampleFormat format)
    {
        using var folder = new TemporaryFile();
        SignalFile.Write(new PinkNoise(RateHz, (long)(seconds * RateHz), 2, levelDbfs, null, seed: 5), folder.Path, format, replace: false);
        // AES17: a full-scale sine, RMS √½ of full scale, reads 0 dBFS. sox prints six decimals.
        var levelBySox = 20 * Math.Log10(OutsidePrograms.SoxStat(folder.Path, "RMS amplitude") * Math.Sqrt(2));
        Assert.Equal(levelDbfs, levelBySox, 0.0001);
    }

    [Theory]
    [InlineData(12.0, 1)]
    [InlineData(10.0, 2)]
    [InlineData(8.0, 3)]
    [InlineData(7.0, 4)]
    public void CrestFactorKeepsItsBoundAndTheSpectrumStaysExact(double boundDb, int seed)
    {
        using var file = new TemporaryFile();
        var noise = new PinkNoise(RateHz, 10 * RateHz, 1, -12, boundDb, (ulong)seed);
        SignalFile.Write(noise, file.Path, SampleFormat.Pcm24, replace: false);

        Assert.InRange(noise.CrestDb, boundDb - 0.5, boundDb);
        var crestBySox = 20 * Math.Log10(Math.Max(OutsidePrograms.SoxStat(file.Path, "Maximum amplitude"), -OutsidePrograms.SoxStat(file.Path, "Minimum amplitude"))
            / OutsidePrograms.SoxStat(file.Path, "RMS amplitude"));
        Assert.InRange(crestBySox, boundDb - 1, noise.CrestDb + 0.01);
        // ffmpeg prints the true peak to 0.1 dB.
        Assert.Equal(noise.TruePeakDbtp, OutsidePrograms.FfmpegTruePeakDbtp(file.Path), 0.11);

        var powers = LinePowers(noise, RateHz);
        var densities = Enumerable.Range(100, 50000).Select(k => 10 * Math.Log10(powers[k] * k)).ToArray();
        Assert.True(densities.Max() - densities.Min() < 1e-5);
    }

    [Fact]
    public void NoSeedEverPeaksAboveMinusOneDbtpAtTheUsualLevel()
    {
        using var file = new TemporaryFile();
        var crests = new List<double>();
        for (var seed = 0UL; seed < 6; seed++)
        {
            var noise = new PinkNoise(RateHz, 10 * RateHz, 1, -12, null, seed);
            Assert.True(noise.TruePeakDbtp <= -1, noise.Description);
            crests.Add(noise.CrestDb);
        }
        // 131072 Gaussian samples would peak at √(2·ln N) = 13.7 dB: left to chance, the crest factor is that of noise.
        Assert.InRange(crests.Average(), 12.5, 14.01);

        SignalFile.Write(new PinkNoise(RateHz, 10 * RateHz, 1, -11, null, seed: 1), file.Path, SampleFormat.Pcm24, replace: true);
        Assert.InRange(OutsidePrograms.FfmpegTruePeakDbtp(file.Path), -3, -1);
    }

    [Fact]
    public void ALevelThatLeavesNoRoomForItsPeaksIsRefusedInOneLine()
    {
        var refusal = Assert.Throws<ArgumentException>(() => new PinkNoise(RateHz, RateHz, 1, -3, 12, seed: 1));
        Assert.Equal("noise at -3 dBFS with a crest factor of 12 dB would peak at 5.99 dBTP, above -1 dBTP; ask for a level of -9.99 dBFS or less, or for a smaller crest factor", refusal.Message);
        Assert.Contains("cannot be reached", Assert.Throws<ArgumentException>(() => new PinkNoise(RateHz, RateHz, 1, -20, 3, seed: 1)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void WholePeriodsHaveTheSameLevelWhereverTheyBegin()
    {
        var noise = new PinkNoise(RateHz, 20 * RateHz, 1, -12, 12, seed: 8);
        var levels = new List<double>();
        foreach (var first in new[] { 1000, 50000, 123457, 700001 })
        {
            var period = new double[noise.PeriodFrames];
            noise.Render(0, first, period);
            levels.Add(10 * Math.Log10(period.Sum(x => x * x)));
        }
        Assert.True(levels.Max() - levels.Min() < 1e-9);
    }

    [Fact]
    public void TheSeedDecidesTheNoiseAndNothingElseDoes()
    {
        static double[] Samples(ulong seed, int block)
        {
            var noise = new PinkNoise(RateHz, RateHz, 2, -12, null, seed);
            var samples = new double[RateHz];
            for (var first = 0; first < samples.Length; first += block)
                noise.Render(1, first, samples.AsSpan(first, Math.Min(block, samples.Length - first)));
            return samples;
        }

        Assert.Equal(Samples(1, 8192), Samples(1, 777));
        var (one, two) = (Samples(1, 8192), Samples(2, 8192));
        var correlation = one.Zip(two, (a, b) => a * b).Sum() / one.Sum(a => a * a);
        // A second of pink noise has about 90 degrees of freedom at its lowest frequencies, which carry most of the error: 0.2 is 4σ.
        Assert.InRange(correlation, -0.2, 0.2);
    }

    // First outputs for seed 0, as published with the algorithm's reference implementations (from memory).
    [Fact]
    public void ChanceIsSplitMix64()
    {
        var chance = new SplitMix64(0);
        Assert.Equal(0xE220A8397B1DCDAFUL, chance.Next());
        Assert.Equal(0x6E789E6AA1B965F4UL, chance.Next());
        Assert.Equal(0x06C45D188009454FUL, chance.Next());
    }
}
