using System.Numerics;
using CaptureProc.Dsp.LineUp;
using CaptureProc.Dsp.RealTime;
using MathNet.Numerics.Distributions;
using MathNet.Numerics.IntegralTransforms;
using Transform = MathNet.Numerics.IntegralTransforms.Fourier;

namespace CaptureProc.Dsp.Tests.LineUp;

public class LineUpMeterTests
{
    private const int RateHz = 48000;

    private static float[][] OneNoise(double seconds, int seed, params double[] gainsDb)
    {
        var chance = new Random(seed);
        var noise = LineUpNoise.Pink((int)(seconds * RateHz), RateHz, 0.1, chance);
        return [.. gainsDb.Select(db => Array.ConvertAll(noise, s => (float)(s * Math.Pow(10, db / 20) + 1e-5 * (chance.NextDouble() - 0.5))))];
    }

    private static LineUpMeter Heard(float[][] channels, int blockFrames)
    {
        var meter = new LineUpMeter(RateHz, channels.Length);
        for (var first = 0; first < channels[0].Length; first += blockFrames)
            meter.Process(new ReadOnlyPlanarSpan(channels, first, Math.Min(blockFrames, channels[0].Length - first)));
        return meter;
    }

    private static GainDifference[] Differences(LineUpMeter meter)
    {
        var estimator = new LineUpEstimator(meter.Record.Bands);
        return [.. Enumerable.Range(0, meter.Record.ChannelCount).Select(c => estimator.Difference(meter.Record, 0, c))];
    }

    [Theory]
    [InlineData(1)]
    [InlineData(64)]
    [InlineData(1000)]
    [InlineData(8191)]
    public void BlockLengthMakesNoDifference(int blockFrames)
    {
        var channels = OneNoise(2, 1, 0, 0.3, -0.2, 0.1);
        Assert.Equal(Differences(Heard(channels, 96000)), Differences(Heard(channels, blockFrames)));
    }

    // What another thread copies while the noise runs may not depend on the host's blocks either.
    [Theory]
    [InlineData(1)]
    [InlineData(37)]
    [InlineData(1024)]
    public void AtEveryFrameOfTheStreamTheSameHasBeenHeard(int blockFrames)
    {
        var channels = OneNoise(1, 9, 0, 0.3, -0.2, 0.1);
        var (whole, cut) = (new LineUpMeter(RateHz, 4), new LineUpMeter(RateHz, 4));
        var heard = new SortedSet<long>();
        for (var first = 0; first < 40000; first += 1000)
        {
            whole.Process(new ReadOnlyPlanarSpan(channels, first, 1000));
            for (var done = 0; done < 1000; done += blockFrames)
                cut.Process(new ReadOnlyPlanarSpan(channels, first + done, Math.Min(blockFrames, 1000 - done)));
            Assert.Equal(whole.Record.HopsHeard, cut.Record.HopsHeard);
            Assert.Equal(whole.Record.Feed(15).Total, cut.Record.Feed(15).Total);
            heard.Add(cut.Record.HopsHeard);
        }
        // One after another: no hop waits for the next.
        Assert.Equal(Enumerable.Range(0, heard.Count).Select(h => (long)h), heard);
        Assert.InRange(heard.Count, 8, 9);
    }

    [Fact]
    public void NothingIsAllocatedFromTheFirstBlockOn()
    {
        var channels = OneNoise(3, 2, 0, 0.3, -0.2, 0.1);
        Differences(Heard(channels, 512));
        var meter = new LineUpMeter(RateHz, 4);
        var copy = new LineUpRecord(RateHz, 4);
        var estimator = new LineUpEstimator(copy.Bands);
        var findings = new LineUpFindings(copy.Bands, 4);
        findings.Read(copy, 0);
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var first = 0; first + 480 <= channels[0].Length; first += 480)
            meter.Process(new ReadOnlyPlanarSpan(channels, first, 480));
        meter.Record.CopyTo(copy);
        var difference = estimator.Difference(copy, 0, 1);
        var alone = estimator.InTurn(copy.Solo(0), copy.Solo(1), copy.HopSeconds);
        findings.Read(copy, 0);
        var verdict = findings.Judge(0.1);
        meter.Reset();
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
        Assert.Equal((LineUpWay.AtOnce, LineUpWay.None), (difference.Way, alone.Way));
        Assert.Equal((ToleranceVerdict.Out, true, difference), (verdict, findings.HasTrims, findings.Gain(1)));
    }

    [Fact]
    public void ResetEqualsNew()
    {
        var (first, second) = (OneNoise(2, 3, 0, 0.4, -0.4, 0.2), OneNoise(2, 4, 0.1, 0, 0, 0));
        var meter = Heard(first, 1000);
        meter.Reset();
        meter.Process(second);
        Assert.Equal(Differences(Heard(second, 1000)), Differences(meter));
    }

    [Fact]
    public void ABlockOfNaNCountsAsSilenceAndTheRestIsMeasured()
    {
        var channels = OneNoise(6, 5, 0, 0.5, -0.5, 0.25);
        channels[2][40000] = float.NaN;
        var differences = Differences(Heard(channels, 1024));
        Assert.All(differences, d => Assert.Equal(LineUpWay.AtOnce, d.Way));
        Assert.Equal(-0.5, differences[2].Db, 0.003);
    }

    // One frame under the sine window, transformed by MathNet.
    [Fact]
    public void StatisticsOfAHopAreTheWeightedCrossPowersOfTheTransform()
    {
        var bands = new ThirdOctaves(RateHz);
        var chance = new Random(6);
        float[][] channels = [.. Enumerable.Range(0, 3).Select(_ => Enumerable.Range(0, bands.FrameLength).Select(_ => (float)(chance.NextDouble() - 0.5)).ToArray())];
        var hop = new HopStatistics(bands.Count);
        var analyser = new HopAnalyser(bands, 3);
        // Silence after the frame, while it is worked on.
        float[][] stream = [.. channels.Select(channel => channel.Concat(new float[bands.HopLength - 1]).ToArray())];
        var isComplete = false;
        for (var done = 0; !isComplete;)
            done += analyser.Take((PlanarSpan)stream, done, true, hop, out isComplete);

        var spectra = channels.Select(channel =>
        {
            var spectrum = channel.Select((s, n) => new Complex(s * Math.Sin(Math.PI * (n + 0.5) / bands.FrameLength), 0)).ToArray();
            Transform.Forward(spectrum, FourierOptions.AsymmetricScaling);
            return spectrum;
        }).ToArray();
        for (var i = 0; i < 3; i++)
        {
            Assert.Equal(channels[i].Average(s => (double)s * s), hop.MeanSquare[i], 1e-9);
            for (var j = i; j < 3; j++)
            {
                var total = 0.0;
                for (var band = 0; band < bands.Count; band++)
                {
                    var sum = Complex.Zero;
                    for (var k = bands.FirstBin[band]; k < bands.FirstBin[band + 1]; k++)
                        sum += bands.WhiteningWeight[k] * spectra[i][k] * Complex.Conjugate(spectra[j][k]);
                    Assert.Equal(sum.Real, hop.CrossRe[HopStatistics.Pair(i, j) * bands.Count + band], 1e-9);
                    Assert.Equal(sum.Imaginary, hop.CrossIm[HopStatistics.Pair(i, j) * bands.Count + band], 1e-9);
                    total += sum.Real;
                }
                Assert.Equal(total, hop.Total[HopStatistics.Pair(i, j)], 1e-9);
            }
        }
    }

    // Bendat and Piersol: the relative variance of a mean square over T seconds of white noise of bandwidth B is 1/(BT). Whitened
    // pink noise reaches it, which is what whitening is for; plain pink noise of 20 Hz to 20 kHz has B_e = 955 Hz only.
    [Fact]
    public void WhitenedPowerIsAsCertainAsTheWholeBandwidthAllows()
    {
        const int runs = 60;
        const double seconds = 2;
        var (logs, claimed) = (new List<double>(), 0.0);
        for (var run = 0; run < runs; run++)
        {
            var meter = new LineUpMeter(RateHz, 1);
            meter.Process((PlanarSpan)new[] { LineUpNoise.Pink((int)(seconds * RateHz), RateHz, 0.1, new Random(100 + run)) });
            var solo = meter.Record.Solo(0);
            logs.Add(Math.Log(solo.Power / solo.Feed.HopCount));
            claimed += solo.RelativeVariance / runs;
        }
        var bands = new ThirdOctaves(RateHz);
        var hops = (int)(seconds * RateHz / bands.HopLength) - 1 - 5;
        var limit = 1 / (bands.BinCount * bands.BinHz * hops * bands.HopLength / RateHz);
        // 60 runs estimate a variance to 18 %.
        Assert.InRange(MathNet.Numerics.Statistics.Statistics.Variance(logs) / limit, 0.55, 1.5);
        Assert.InRange(claimed / limit, 0.85, 1.15);
    }

    [Fact]
    public void AGainThatIsMovedMeanwhileStartsTheMeasurementAnew()
    {
        var before = OneNoise(5, 7, 0, 0.5, -0.5, 0);
        var after = OneNoise(5, 8, 0, 0.1, -0.5, 0);
        var meter = Heard([.. before.Zip(after, (a, b) => a.Concat(b).ToArray())], 4000);
        var differences = Differences(meter);
        Assert.Equal(1, meter.Record.Feed(15).Restarts);
        Assert.Equal(0.1, differences[1].Db, 0.001);
        Assert.Equal(-0.5, differences[2].Db, 0.001);
    }

    [Theory]
    [InlineData(4)]
    [InlineData(10)]
    [InlineData(30)]
    [InlineData(200)]
    public void ConfidenceFactorIsStudents(int degreesOfFreedom) =>
        Assert.Equal(StudentT.InvCDF(0, 1, degreesOfFreedom, 0.975), Confidence95.Factor(degreesOfFreedom), 0.004 * StudentT.InvCDF(0, 1, degreesOfFreedom, 0.975));
}
