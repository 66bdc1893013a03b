using CaptureProc.Rendering.Signals;
using CaptureProc.Wav;

namespace CaptureProc.Rendering.Tests.Signals;

public class SteadySignalTests
{
    private const int RateHz = 48000;

    [Theory]
    [InlineData(997, -12)]
    [InlineData(997, -1)]
    [InlineData(31.5, -18)]
    [InlineData(12000, -20)]
    public void SineHasTheLevelAndFrequencyThatSoxReads(double frequencyHz, double levelDbfs)
    {
        using var file = new TemporaryFile();
        var sine = new SineTone(RateHz, 10 * RateHz, 1, levelDbfs, frequencyHz);
        SignalFile.Write(sine, file.Path, SampleFormat.Pcm24, replace: false);

        // Zero crossings, two a period, counted over the whole file.
        var samples = new double[10 * RateHz];
        sine.Render(0, 0, samples);
        Assert.Equal(frequencyHz, samples.Zip(samples.Skip(1), (a, b) => a < 0 != b < 0 ? 1 : 0).Sum() / 20.0, 0.2);

        // The fades take 2·20 ms·(1 − 3/8) of 10 s: 0.011 dB.
        var levelBySox = 20 * Math.Log10(OutsidePrograms.SoxStat(file.Path, "RMS amplitude") * Math.Sqrt(2));
        Assert.Equal(levelDbfs - 0.0109, levelBySox, 0.001);
        Assert.InRange(OutsidePrograms.FfmpegTruePeakDbtp(file.Path), levelDbfs - 0.11, levelDbfs + 0.11);
    }

    [Fact]
    public void EverySignalBeginsAndEndsSoftly()
    {
        TestSignal[] signals =
        [
            new PinkNoise(RateHz, RateHz, 1, -12, null, seed: 1),
            new SineTone(RateHz, RateHz, 1, -12, 997),
            new ExponentialSweep(RateHz, RateHz, 1, -12, 20, 20000),
            new ClickTrain(RateHz, RateHz, 1, -12, 0.2),
            new ChannelIdents(RateHz, 3 * RateHz, 1, -12),
        ];
        foreach (var signal in signals)
        {
            var samples = new double[signal.FrameCount];
            signal.Render(0, 0, samples);
            // One step of 16 bits at the very ends, -40 dB of full scale one millisecond in.
            Assert.InRange(Math.Abs(samples[0]), 0, 1.0 / 32768);
            Assert.InRange(Math.Abs(samples[^1]), 0, 1.0 / 32768);
            Assert.All(samples[..48].Concat(samples[^48..]), s => Assert.InRange(Math.Abs(s), 0, 0.01));
            Assert.True(samples.Max(Math.Abs) > 0.1);
        }
    }

    [Fact]
    public void SignalsEndWhereTheySayAndBlocksDoNotMatter()
    {
        var sweep = new ExponentialSweep(RateHz, RateHz, 1, -12, 20, 20000);
        var (whole, pieces) = (new double[RateHz + 100], new double[RateHz + 100]);
        sweep.Render(0, 0, whole);
        for (var first = 0; first < pieces.Length; first += 1001)
            sweep.Render(0, first, pieces.AsSpan(first, Math.Min(1001, pieces.Length - first)));
        Assert.Equal(whole, pieces);
        Assert.All(whole[RateHz..], s => Assert.Equal(0, s));
    }

    [Fact]
    public void SignalsAboveMinusOneDbtpAreRefused()
    {
        Assert.Throws<ArgumentException>(() => new SineTone(RateHz, RateHz, 1, -0.9, 997));
        Assert.Throws<ArgumentException>(() => new ExponentialSweep(RateHz, RateHz, 1, -0.5, 20, 20000));
        Assert.Throws<ArgumentException>(() => new ClickTrain(RateHz, RateHz, 1, 0, 0.2));
        Assert.Throws<ArgumentException>(() => new ChannelIdents(RateHz, 3 * RateHz, 1, 0));
    }
}
