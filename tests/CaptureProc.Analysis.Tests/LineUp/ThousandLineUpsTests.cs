using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.LineUp;

/// <summary>How far off gains of ±0.6 dB are found, and whether the stated intervals can be believed, over 1,000 line-ups.</summary>
/// <remarks>
/// A line-up in turn compares solo channels, so 1,000 of them are drawn from a pool of solo measurements, each of which has run
/// through the whole meter once with a gain of its own; that the meter measures the same from one file of four channels
/// moved in turn is shown by <see cref="AFileMovedInTurnMeasuresAsItsChannelsDo"/>.
/// </remarks>
public class ThousandLineUpsTests(ITestOutputHelper output)
{
    private const int LineUps = 1000;
    private const int SoloCount = 200;
    private const double Seconds = 10;
    private const double AmplifierNoiseRms = 1e-5;

    private sealed record Solo(SoloRecord Record, double GainDb);

    private static readonly float[] AmplifierNoise = MakeAmplifierNoise();

    private static float[] MakeAmplifierNoise()
    {
        var chance = new SeededRandom(99);
        return [.. Enumerable.Range(0, 1 << 20).Select(_ => (float)(AmplifierNoiseRms * chance.Gaussian()))];
    }

    private static float[] Channel(ReadOnlySpan<double> noise, double gainDb, SeededRandom chance)
    {
        var (gain, start) = (Math.Pow(10, gainDb / 20), chance.Index(AmplifierNoise.Length));
        var channel = new float[noise.Length];
        for (var i = 0; i < channel.Length; i++)
            channel[i] = (float)(gain * noise[i]) + AmplifierNoise[(start + i) % AmplifierNoise.Length];
        return channel;
    }

    private static Solo Measure(ReadOnlySpan<double> noise, SeededRandom chance)
    {
        var gainDb = chance.Uniform(-0.6, 0.6);
        var meter = new LineUpMeter(LineUpNoise.RateHz, 1);
        meter.Process((PlanarSpan)new[] { Channel(noise, gainDb, chance) });
        return new Solo(meter.Record.Solo(0), gainDb);
    }

    private (double WorstDb, double MedianDb, double Covered) DrawLineUps(IReadOnlyList<Solo[]> pools, LineUpWay way, SeededRandom chance)
    {
        var estimator = new LineUpEstimator(pools[0][0].Record.Bands);
        var (errors, covered) = (new List<double>(), 0);
        for (var lineUp = 0; lineUp < LineUps; lineUp++)
        {
            var pool = pools[lineUp % pools.Count];
            var drawn = new HashSet<int>();
            while (drawn.Count < 4)
                drawn.Add(chance.Index(pool.Length));
            var solos = drawn.Select(i => pool[i]).ToArray();
            foreach (var solo in solos[1..])
            {
                var difference = estimator.InTurn(solos[0].Record, solo.Record, 4096.0 / LineUpNoise.RateHz);
                Assert.Equal(way, difference.Way);
                var error = difference.Db - (solo.GainDb - solos[0].GainDb);
                errors.Add(Math.Abs(error));
                covered += Math.Abs(error) <= difference.UncertaintyDb ? 1 : 0;
            }
        }
        errors.Sort();
        var result = (errors[^1], errors[errors.Count / 2], (double)covered / errors.Count);
        output.WriteLine($"{way}: worst {result.Item1:0.00000} dB, median {result.Item2:0.00000} dB, 95 % interval holds {result.Item3:0.0000}");
        return result;
    }

    [Fact]
    public void MovedInTurnWithOurOwnNoiseNoGainIsOffByThreeHundredths()
    {
        var chance = new SeededRandom(1);
        var frames = (int)(Seconds * LineUpNoise.RateHz);
        // Four seeds of the signal; each solo hears it from another moment on.
        var pools = Enumerable.Range(0, 4).Select(seed =>
        {
            var noise = LineUpNoise.Repeating(40 * LineUpNoise.RateHz, (ulong)seed);
            return Enumerable.Range(0, SoloCount / 4)
                .Select(_ => Measure(noise.AsSpan(LineUpNoise.RateHz + chance.Index(28 * LineUpNoise.RateHz), frames), chance)).ToArray();
        }).ToList();
        var (worstDb, _, covered) = DrawLineUps(pools, LineUpWay.InTurnSameNoise, chance);
        Assert.InRange(worstDb, 0, 0.03);
        Assert.InRange(covered, 0.93, 0.97);
    }

    // Noise that never repeats leaves more, and no method can help it: the Cramér-Rao bound of the difference of two levels over
    // T seconds and bandwidth B is 4.343·√(2/(BT)) dB, 0.0137 dB here, so one in a thousand is off by 0.045 dB.
    [Fact]
    public void MovedInTurnWithNoiseThatNeverRepeatsTheLimitOfTheNoiseIsReached()
    {
        var chance = new SeededRandom(2);
        var frames = (int)(Seconds * LineUpNoise.RateHz);
        var pool = Enumerable.Range(0, SoloCount).Select(_ => Measure(LineUpNoise.NeverRepeating(frames, chance), chance)).ToArray();
        var (worstDb, medianDb, covered) = DrawLineUps([pool], LineUpWay.InTurn, chance);
        var bands = pool[0].Record.Bands;
        var seconds = pool[0].Record.Feed.HopCount * 4096.0 / LineUpNoise.RateHz;
        var boundDb = 4.343 * Math.Sqrt(2 / (bands.BinCount * bands.BinHz * seconds));
        // The median of |normal| is 0.674 sigma.
        Assert.InRange(medianDb, 0.85 * 0.674 * boundDb, 1.15 * 0.674 * boundDb);
        Assert.InRange(worstDb, 0, 4.5 * boundDb);
        Assert.InRange(covered, 0.93, 0.97);
    }

    [Fact]
    public void AllAtOnceNoGainIsOffByThreeThousandths()
    {
        var chance = new SeededRandom(3);
        var estimator = new LineUpEstimator(new ThirdOctaves(LineUpNoise.RateHz));
        var source = LineUpNoise.NeverRepeating(60 * LineUpNoise.RateHz, chance);
        var meter = new LineUpMeter(LineUpNoise.RateHz, 4);
        var (errors, covered) = (new List<double>(), 0);
        for (var lineUp = 0; lineUp < LineUps; lineUp++)
        {
            // A second and a half is enough here: what is left falls with the root of the time.
            var noise = source.AsSpan(chance.Index(58 * LineUpNoise.RateHz), 3 * LineUpNoise.RateHz / 2);
            var gainsDb = Enumerable.Range(0, 4).Select(_ => chance.Uniform(-0.6, 0.6)).ToArray();
            float[][] channels = [Channel(noise, gainsDb[0], chance), Channel(noise, gainsDb[1], chance), Channel(noise, gainsDb[2], chance), Channel(noise, gainsDb[3], chance)];
            meter.Reset();
            meter.Process((PlanarSpan)channels);
            for (var channel = 1; channel < 4; channel++)
            {
                var difference = estimator.Difference(meter.Record, 0, channel);
                Assert.Equal(LineUpWay.AtOnce, difference.Way);
                var error = difference.Db - (gainsDb[channel] - gainsDb[0]);
                errors.Add(Math.Abs(error));
                covered += Math.Abs(error) <= difference.UncertaintyDb ? 1 : 0;
            }
        }
        errors.Sort();
        output.WriteLine($"at once: worst {errors[^1]:0.0000000} dB, median {errors[errors.Count / 2]:0.0000000} dB, 95 % interval holds {(double)covered / errors.Count:0.0000}");
        Assert.InRange(errors[^1], 0, 0.003);
        Assert.InRange((double)covered / errors.Count, 0.93, 0.97);
    }

    [Fact]
    public void AFileMovedInTurnMeasuresAsItsChannelsDo()
    {
        var chance = new SeededRandom(4);
        const int turn = 6 * LineUpNoise.RateHz;
        var noise = LineUpNoise.NeverRepeating(4 * turn, chance);
        var channels = Enumerable.Range(0, 4).Select(_ => new float[4 * (turn + LineUpNoise.RateHz) + LineUpNoise.RateHz]).ToArray();
        var solos = new SoloRecord[4];
        for (var channel = 0; channel < 4; channel++)
        {
            var own = Array.ConvertAll(noise[(channel * turn)..((channel + 1) * turn)], s => (float)(s * Math.Pow(10, 0.1 * channel / 20)));
            // Whole hops apart, so that both cut the noise at the same places.
            own.CopyTo(channels[channel], 4096 * (5 + channel * (turn / 4096 + 8)));
            var meter = new LineUpMeter(LineUpNoise.RateHz, 1);
            float[][] alone = [[.. new float[4096 * 5], .. own, .. new float[4096 * 5]]];
            meter.Process((PlanarSpan)alone);
            solos[channel] = meter.Record.Solo(0);
        }

        var whole = new LineUpMeter(LineUpNoise.RateHz, 4);
        whole.Process((PlanarSpan)channels);
        var estimator = new LineUpEstimator(whole.Record.Bands);
        for (var channel = 1; channel < 4; channel++)
        {
            var inFile = estimator.Difference(whole.Record, 0, channel);
            var alone = estimator.InTurn(solos[0], solos[channel], whole.Record.HopSeconds);
            Assert.Equal(LineUpWay.InTurn, inFile.Way);
            Assert.Equal(alone.Db, inFile.Db, 1e-9);
            Assert.Equal(alone.UncertaintyDb, inFile.UncertaintyDb, 1e-9);
        }
    }
}
