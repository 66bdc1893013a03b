using CaptureProc.Analysis.LineUp;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.LineUp;

public class LineUpReportTests
{
    private const int RateHz = LineUpNoise.RateHz;
    private static readonly int[] Channels = [1, 2, 3, 4];
    private static readonly double[] GainsDb = [0, 0.06, -0.25, 0.04];

    private static float[][] AtOnce(double seconds, int seed = 1, double levelDbfs = -12, int channelCount = 4)
    {
        var chance = new SeededRandom((ulong)seed);
        var noise = LineUpNoise.NeverRepeating((int)(seconds * RateHz), chance, levelDbfs);
        return [.. Enumerable.Range(0, channelCount).Select(c => Array.ConvertAll(noise, s => (float)(s * Math.Pow(10, GainsDb[c % 4] / 20) + 1e-5 * chance.Gaussian())))];
    }

    private static float[][] InTurn(double secondsEach, int[] order, bool repeats = true)
    {
        var chance = new SeededRandom(2);
        var turn = (int)(secondsEach * RateHz);
        var pause = RateHz;
        var noise = repeats ? LineUpNoise.Repeating(5 * turn, 7) : LineUpNoise.NeverRepeating(5 * turn, chance);
        var channels = Enumerable.Range(0, 4).Select(_ => Enumerable.Range(0, 4 * (turn + pause) + pause).Select(_ => (float)(1e-5 * chance.Gaussian())).ToArray()).ToArray();
        for (var k = 0; k < order.Length; k++)
            for (var i = 0; i < turn; i++)
                channels[order[k]][pause + k * (turn + pause) + i] += (float)(noise[k * turn + i] * Math.Pow(10, GainsDb[order[k]] / 20));
        return channels;
    }

    private static LineUpReport Report(float[][] planar, double toleranceDb = 0.1)
    {
        var listener = new LineUpListener(RateHz, planar.Length, Channels);
        listener.Hear(planar, 0, planar[0].Length);
        return LineUpAnalysis.Report(listener, Channels, 0, toleranceDb);
    }

    private static void OnlyProblemIs(LineUpReport report, int channel, string said)
    {
        Assert.Empty(report.Problems);
        foreach (var c in report.Channels)
            if (c.Channel == channel)
                Assert.Contains(said, Assert.Single(c.Problems), StringComparison.Ordinal);
            else
                Assert.Empty(c.Problems);
    }

    [Fact]
    public void AGoodRecordingIsMeasuredAndNothingIsFoundWrong()
    {
        var report = Report(AtOnce(6));
        Assert.False(report.HasProblems, string.Join("; ", report.Problems.Concat(report.Channels.SelectMany(c => c.Problems))));
        Assert.True(report.HasTrims);
        Assert.Equal(ToleranceVerdict.Out, report.Verdict);
        for (var c = 0; c < 4; c++)
        {
            Assert.Equal(-GainsDb[c], report.Channels[c].TrimDb, 0.001);
            Assert.Equal(-12 + GainsDb[c], report.Channels[c].LevelDbfs, 0.3);
            Assert.Equal(-3.01, report.Channels[c].SlopeDbPerOctave, 0.15);
            Assert.InRange(report.Channels[c].CrestDb, 11.5, 15.5);
        }
        Assert.Equal(ToleranceVerdict.Within, Report(AtOnce(6), toleranceDb: 0.3).Verdict);
    }

    [Theory]
    [InlineData(true, LineUpWay.InTurnSameNoise, 0.002)]
    [InlineData(false, LineUpWay.InTurn, 0.05)]
    public void NoiseThatIsMovedFromOneInputToTheNextIsFoundWhereverItIs(bool repeats, LineUpWay way, double toleranceDb)
    {
        var report = Report(InTurn(7, [0, 1, 2, 3], repeats));
        Assert.False(report.HasProblems, string.Join("; ", report.Problems.Concat(report.Channels.SelectMany(c => c.Problems))));
        Assert.Empty(report.Notes);
        for (var c = 0; c < 4; c++)
            Assert.Equal(GainsDb[c], report.Channels[c].Gain.Db, toleranceDb);
        Assert.All(report.Channels.Skip(1), c => Assert.Equal(way, c.Gain.Way));
    }

    [Fact]
    public void TooLittleNoiseIsSaidWithTheTimeItWouldTake()
    {
        // 0.06 dB against a tolerance of 0.1: two seconds of noise that never repeats leave ±0.06 dB.
        var report = Report(InTurn(2, [0, 1, 2, 3], repeats: false));
        var second = report.Channels[1].Gain;
        Assert.Equal(ToleranceVerdict.CannotTell, second.Judge(0.1));
        Assert.InRange(second.UncertaintyDb, 0.03, 0.12);
        var needed = second.SecondsNeeded(0.1);
        Assert.True(needed > second.Seconds);
        // In that time the interval is as wide as the distance to the tolerance.
        Assert.Equal(Math.Abs(0.1 - Math.Abs(second.Db)), second.UncertaintyDb * Math.Sqrt(second.Seconds / needed), 1e-6);
    }

    [Fact]
    public void AChannelThatWasNeverFedIsNamedAndNothingIsStored()
    {
        var planar = AtOnce(4);
        planar[2] = new float[planar[0].Length];
        var report = Report(planar);
        OnlyProblemIs(report, 3, "linked gain is no proof");
        Assert.False(report.HasTrims);
        Assert.Equal(GainsDb[3], report.Channels[3].Gain.Db, 0.001);
    }

    [Fact]
    public void NoiseInAChannelThatIsNotTheArraysIsTheWrongCable()
    {
        var planar = AtOnce(4, channelCount: 6);
        (planar[2], planar[4]) = (new float[planar[0].Length], planar[2]);
        planar[5] = new float[planar[0].Length];
        var report = Report(planar);
        Assert.Contains("channel 5 carries the noise", Assert.Single(report.Problems), StringComparison.Ordinal);
        Assert.Contains("meant for channel 3", report.Problems[0], StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1.0, 2)]
    [InlineData(0.5, 2)]
    [InlineData(1.0, 12)]
    public void AClippedChannelIsNamed(double limit, double drive)
    {
        var planar = AtOnce(4, levelDbfs: -8);
        for (var i = 0; i < planar[1].Length; i++)
            planar[1][i] = (float)Math.Clamp(drive * limit * planar[1][i], -limit, limit);
        int[] others = [0, 2, 3];
        foreach (var c in others)
            for (var i = 0; i < planar[c].Length; i++)
                planar[c][i] *= 0.5f;
        var report = Report(planar);
        Assert.Contains(report.Channels[1].Problems, p => p.StartsWith("clipped", StringComparison.Ordinal));
        Assert.False(report.HasTrims);
        // However hard it clips, what is left of it is no reason to take the recording for a room.
        Assert.False(report.IsRoom);
        Assert.Empty(report.Problems);
        Assert.All(others, c => Assert.DoesNotContain(report.Channels[c].Problems, p => p.Contains("clipped", StringComparison.Ordinal)));
    }

    // A first-order high-pass, as a low-cut switch has it (or steeper).
    private static void LowCut(float[] samples, double cornerHz, int order)
    {
        var feedback = Math.Exp(-2 * Math.PI * cornerHz / RateHz);
        for (var pass = 0; pass < order; pass++)
        {
            var (previous, output) = (0.0, 0.0);
            for (var i = 0; i < samples.Length; i++)
            {
                output = feedback * (output + samples[i] - previous);
                previous = samples[i];
                samples[i] = (float)output;
            }
        }
    }

    [Theory]
    [InlineData(0, 80, 2)]
    [InlineData(3, 60, 1)]
    public void ALowCutIsFoundInTheChannelThatHasIt(int channel, double cornerHz, int order)
    {
        var planar = AtOnce(6);
        LowCut(planar[channel], cornerHz, order);
        OnlyProblemIs(Report(planar), channel + 1, "low-cut is in: 3 dB down at about ");
        var moved = InTurn(8, [0, 1, 2, 3]);
        LowCut(moved[channel], cornerHz, 2);
        OnlyProblemIs(Report(moved), channel + 1, "low-cut is in: 3 dB down at about ");
    }

    [Fact]
    public void AnotherGainAtLowThanAtHighFrequenciesIsSaid()
    {
        // A shelf: 0.4 dB more below some 200 Hz.
        var planar = AtOnce(6);
        var low = 0.0;
        for (var i = 0; i < planar[1].Length; i++)
        {
            low += (planar[1][i] - low) * (2 * Math.PI * 250 / RateHz);
            planar[1][i] += (float)(0.047 * low);
        }
        OnlyProblemIs(Report(planar), 2, "the gain below 125 Hz differs by +0.3");
    }

    [Theory]
    [InlineData(50, -60)]
    [InlineData(60, -70)]
    public void HumUnderTheNoiseIsFoundInTheChannelThatHasIt(double hz, double levelDbfs)
    {
        var planar = AtOnce(8);
        for (var i = 0; i < planar[3].Length; i++)
            planar[3][i] += (float)(Math.Pow(10, levelDbfs / 20) * (Math.Sin(2 * Math.PI * hz * 1.0007 * i / RateHz) + 0.3 * Math.Sin(2 * Math.PI * 3 * hz * 1.0007 * i / RateHz)));
        var report = Report(planar);
        OnlyProblemIs(report, 4, $"hum of {hz} Hz");
        Assert.Contains(FormattableString.Invariant($"at {levelDbfs + 0.4:0} dBFS"), report.Channels[3].Problems[0], StringComparison.Ordinal);
    }

    [Fact]
    public void LoudHumIsFoundInAChannelThatWasFedAlone()
    {
        var planar = InTurn(8, [0, 1, 2, 3]);
        for (var i = 0; i < planar[2].Length; i++)
            planar[2][i] += (float)(0.05 * Math.Sin(2 * Math.PI * 50 * i / RateHz));
        OnlyProblemIs(Report(planar), 3, "hum of 50 Hz");
    }

    [Fact]
    public void NoiseThatIsNotPinkIsSaid()
    {
        var chance = new SeededRandom(5);
        var white = Enumerable.Range(0, 6 * RateHz).Select(_ => 0.17 * chance.Gaussian()).ToArray();
        float[][] planar = [.. Enumerable.Range(0, 4).Select(c => Array.ConvertAll(white, s => (float)(s * Math.Pow(10, GainsDb[c] / 20) + 1e-5 * chance.Gaussian())))];
        var report = Report(planar);
        Assert.Contains("the noise is not pink", Assert.Single(report.Problems), StringComparison.Ordinal);
        // The gains are right all the same.
        Assert.True(report.HasTrims);
        Assert.Equal(GainsDb[2], report.Channels[2].Gain.Db, 0.001);
        Assert.Equal(0, report.Channels[0].SlopeDbPerOctave, 0.1);
    }

    [Theory]
    [InlineData(-30, "far from -12")]
    [InlineData(-2, "far from -12")]
    public void ALevelFarFromTheUsualOneIsSaid(double levelDbfs, string said)
    {
        var report = Report(AtOnce(3, levelDbfs: levelDbfs));
        Assert.All(report.Channels, c => Assert.Contains(c.Problems, p => p.Contains(said, StringComparison.Ordinal)));
    }

    [Fact]
    public void PeaksAtFullScaleAreTooLittleHeadroom()
    {
        var planar = AtOnce(4);
        var peak = planar[0].Max(Math.Abs);
        foreach (var channel in planar)
            for (var i = 0; i < channel.Length; i++)
                channel[i] *= 0.985f / peak;
        Assert.Contains(Report(planar).Channels[0].Problems, p => p.Contains("headroom too small", StringComparison.Ordinal) && p.Contains("crest factor", StringComparison.Ordinal));
    }

    [Fact]
    public void TwoChannelsThatCarryOneSignalAreNamed()
    {
        var moved = InTurn(3, [0, 1, 2, 3]);
        moved[2] = [.. moved[1]];
        Assert.Contains(Report(moved).Problems, p => p.StartsWith("channels 2 and 3 carry one signal", StringComparison.Ordinal));

        var atOnce = AtOnce(3);
        atOnce[3] = [.. atOnce[0]];
        Assert.Contains(Report(atOnce).Problems, p => p.StartsWith("channels 1 and 4 are the same to the last bit", StringComparison.Ordinal));
    }

    [Fact]
    public void FourEqualChannelsAreSaidInOneLine()
    {
        var one = AtOnce(3)[0];
        var report = Report([one, [.. one], [.. one], [.. one]]);
        Assert.StartsWith("channels 1, 2, 3 and 4 are the same to the last bit", Assert.Single(report.Notes), StringComparison.Ordinal);
        Assert.Empty(report.Problems);
    }

    [Fact]
    public void ClapsAreCalledClapsAndNoCableIsBlamed()
    {
        var chance = new SeededRandom(3);
        var claps = Enumerable.Range(0, 4).Select(c => Enumerable.Range(0, 6 * RateHz).Select(n =>
        {
            // Three claps 1.5 s apart, dead after some milliseconds, in a room that rings for half a second 30 dB lower.
            var since = (n - 0.7 * RateHz) % (1.5 * RateHz) / RateHz;
            var envelope = n < 0.7 * RateHz || n > 5 * RateHz ? 0 : Math.Exp(-since / 0.003) + 0.03 * Math.Exp(-since / 0.07);
            return (float)(0.3 * envelope * chance.Gaussian() + 1e-5 * chance.Gaussian());
        }).ToArray()).ToArray();
        var report = Report(claps);
        Assert.Contains("claps or taps in this recording and no noise that lasts", Assert.Single(report.Problems), StringComparison.Ordinal);
        Assert.All(report.Channels, c => Assert.Empty(c.Problems));
        Assert.False(report.HasTrims);
    }

    [Theory]
    [InlineData(0.4, 0.89, false, 0)]
    [InlineData(2, 0.89, true, -2)]
    [InlineData(0.08, 0.05, true, -0.08)]
    public void WhatIsNotToldIsNotKept(double gainDb, double uncertaintyDb, bool isKept, double keptDb)
    {
        ChannelLineUp Channel(int number, double db, double uncertainty) => new(number, -20, new GainDifference(db, uncertainty, LineUpWay.Diffuse, 60, false), 0, 0, 0, []);
        var report = new LineUpReport(1, 0.1, [Channel(1, 0, 0), Channel(2, gainDb, uncertaintyDb), Channel(3, 0.3, 0.9), Channel(4, -0.2, 0.9)], false, [], []) { HasTrims = true };
        Assert.Equal(isKept, report.IsWorthKeeping);
        Assert.Equal([0, keptDb, 0, 0], report.TrimsToKeepDb.Select(db => db + 0.0));
    }

    [Fact]
    public void AnInvertedChannelIsNamed()
    {
        var planar = AtOnce(3);
        planar[1] = Array.ConvertAll(planar[1], s => -s);
        var report = Report(planar);
        OnlyProblemIs(report, 2, "inverted");
        Assert.Equal(GainsDb[1], report.Channels[1].Gain.Db, 0.001);
    }

    [Fact]
    public void AnotherOrderThanThatOfTheChannelsIsNoted()
    {
        var report = Report(InTurn(3, [0, 2, 1, 3]));
        Assert.Contains("channels 1, 3, 2, 4", Assert.Single(report.Notes), StringComparison.Ordinal);
    }

    [Fact]
    public void SeparateNoisesOnAllChannelsAreRefused()
    {
        var chance = new SeededRandom(8);
        float[][] planar = [.. Enumerable.Range(0, 4).Select(_ => Array.ConvertAll(LineUpNoise.NeverRepeating(4 * RateHz, chance), s => (float)s))];
        var report = Report(planar);
        Assert.False(report.HasTrims);
        Assert.Contains("noise of its own", Assert.Single(report.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public void SilenceIsNoLineUp()
    {
        var report = Report([new float[RateHz], new float[RateHz], new float[RateHz], new float[RateHz]]);
        Assert.False(report.HasTrims);
        Assert.All(report.Channels, c => Assert.Contains("no signal", Assert.Single(c.Problems), StringComparison.Ordinal));
    }
}
