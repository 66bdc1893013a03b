using CaptureProc.Dsp.Fourier;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Tests.Signals;

public sealed class SoundTests
{
    private const double RateHz = 48000;

    [Fact]
    public void PinkNoiseFallsThreeDecibelsAnOctaveAtUnitRms()
    {
        var pink = new PinkNoise(RateHz, new SeededRandom(8));
        var power = new double[16385];
        var fft = new RealFft<double>(32768);
        var (frame, re, im) = (new double[32768], new double[16385], new double[16385]);
        var square = 0.0;
        const int frames = 120;
        for (var f = 0; f < frames; f++)
        {
            for (var i = 0; i < frame.Length; i++)
            {
                frame[i] = pink.Next();
                square += frame[i] * frame[i] / frame.Length / frames;
            }
            // Hann: without it the strong lows would leak over the weak highs.
            for (var i = 0; i < frame.Length; i++)
                frame[i] *= 0.5 - 0.5 * Math.Cos(2 * Math.PI * i / frame.Length);
            fft.Forward(frame, re, im);
            for (var bin = 0; bin < re.Length; bin++)
                power[bin] += re[bin] * re[bin] + im[bin] * im[bin];
        }
        Assert.Equal(1, Math.Sqrt(square), 0.05);

        // Octave bands of equal power from 40 Hz to 5 kHz: a straight line of −3.01 dB an octave in density.
        var first = BandDb(40);
        for (var hz = 80.0; hz < 4000; hz *= 2)
            Assert.InRange(BandDb(hz) - first, -0.45, 0.45);

        double BandDb(double lowHz)
        {
            var sum = 0.0;
            for (var bin = 1; bin < power.Length; bin++)
                if (bin * RateHz / 32768 >= lowHz && bin * RateHz / 32768 < 2 * lowHz)
                    sum += power[bin];
            return 10 * Math.Log10(sum);
        }
    }

    [Theory]
    [InlineData(ClickKind.Clap, 44100)]
    [InlineData(ClickKind.Clap, 96000)]
    [InlineData(ClickKind.Slate, 48000)]
    [InlineData(ClickKind.Flam, 48000)]
    public void ClicksEndBelowNineTenthsOfNyquist(ClickKind kind, double rateHz)
    {
        for (var seed = 1UL; seed <= 5; seed++)
        {
            var (all, top) = (0.0, 0.0);
            var fft = new RealFft<double>(16384);
            var frame = new double[16384];
            ClickSounds.Make(kind, rateHz, new SeededRandom(seed)).CopyTo(frame, 0);
            Assert.Equal(1, Peak.Of(frame), 12);
            var (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
            fft.Forward(frame, re, im);
            for (var bin = 0; bin < re.Length; bin++)
            {
                var energy = re[bin] * re[bin] + im[bin] * im[bin];
                all += energy;
                top += bin > 0.9 * re.Length ? energy : 0;
            }
            Assert.True(top < 1e-8 * all, $"seed {seed}: {10 * Math.Log10(top / all):0.0} dB above 0.9 of Nyquist");
        }
    }

    [Fact]
    public void AClapIsOverWithinFifteenMilliseconds()
    {
        for (var seed = 1UL; seed <= 30; seed++)
        {
            var clap = ClickSounds.Make(ClickKind.Clap, RateHz, new SeededRandom(seed));
            Assert.InRange(clap.Length / RateHz, 0.004, 0.016);
            // Half the energy within 2 ms: short enough for its direct sound to stand clear of most reflections.
            var (all, early) = (0.0, 0.0);
            for (var i = 0; i < clap.Length; i++)
            {
                all += clap[i] * clap[i];
                early += i < 0.002 * RateHz + 58 ? clap[i] * clap[i] : 0;
            }
            Assert.True(early > 0.5 * all, $"seed {seed}: {early / all:0.00}");
        }
    }

    [Theory]
    [InlineData(MusicKind.Plucked)]
    [InlineData(MusicKind.Struck)]
    [InlineData(MusicKind.Blown)]
    public void MusicHasRestsAndLoudAndSoftPlaces(MusicKind kind)
    {
        var music = MusicSounds.Make(kind, 20, 220, RateHz, new SeededRandom(2));
        var (silent, loud) = (0, 0);
        for (var start = 0; start + 4800 <= music.Length; start += 4800)
        {
            var peak = Peak.Of(music.AsSpan(start, 4800));
            silent += peak < 0.003 ? 1 : 0;
            loud += peak > 0.2 ? 1 : 0;
        }
        Assert.InRange(silent, 5, 120);
        Assert.InRange(loud, 20, 190);
    }

    [Fact]
    public void ChanceIsTheSameForTheSameSeedAndPurpose()
    {
        var (a, b) = (new SeededRandom(77), new SeededRandom(77));
        a.Uniform();
        Assert.Equal(a.Fork("x").NextUInt64(), b.Fork("x").NextUInt64());
        Assert.NotEqual(a.Fork("x").NextUInt64(), a.Fork("y").NextUInt64());
    }

    [Fact]
    public void ChanceFillsTheNormalDistribution()
    {
        var chance = new SeededRandom(3);
        var (mean, square, fourth) = (0.0, 0.0, 0.0);
        const int count = 400000;
        for (var i = 0; i < count; i++)
        {
            var x = chance.Gaussian();
            (mean, square, fourth) = (mean + x / count, square + x * x / count, fourth + x * x * x * x / count);
        }
        // Moments 0, 1 and 3; five standard errors of 400000 draws.
        Assert.Equal(0, mean, 0.008);
        Assert.Equal(1, square, 0.012);
        Assert.Equal(3, fourth, 0.08);
    }
}
