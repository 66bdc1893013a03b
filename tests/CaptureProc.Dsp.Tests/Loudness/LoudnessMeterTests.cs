using CaptureProc.Dsp.Loudness;
using static CaptureProc.Dsp.Tests.Loudness.LoudnessSignals;

namespace CaptureProc.Dsp.Tests.Loudness;

public class LoudnessMeterTests
{
    // ITU-R BS.1770-5, Annex 1: a 997 Hz sine at 0 dB FS in one channel reads −3.01.
    [Theory]
    [InlineData(44_100)]
    [InlineData(48_000)]
    [InlineData(96_000)]
    [InlineData(192_000)]
    public void FullScaleToneInOneChannelReadsMinusThree(int rateHz)
    {
        var tone = new float[rateHz * 2];
        for (var i = 0; i < tone.Length; i++)
            tone[i] = (float)Math.Sin(2 * Math.PI * 997 * i / rateHz);
        Assert.Equal(-3.01, Measure(rateHz, [1], tone).IntegratedLufs, 0.01);
    }

    // ITU-R BS.1770-5, Annex 3: the sides of the horizontal ring count 1.5 dB more.
    [Theory]
    [InlineData(30, 0, 1)]
    [InlineData(-90, 0, 1.41)]
    [InlineData(250, 0, 1.41)]
    [InlineData(135, 0, 1)]
    [InlineData(90, 45, 1)]
    // Annex 3, table 4 (from memory): |elevation| below 30° and |azimuth| from 60° to 120°, both included. Either side of every edge.
    [InlineData(90, 29.95, 1.41)]
    [InlineData(90, 30, 1)]
    [InlineData(-90, -29.95, 1.41)]
    [InlineData(-90, -30, 1)]
    [InlineData(59.95, 0, 1)]
    [InlineData(60, 0, 1.41)]
    [InlineData(-120, 0, 1.41)]
    [InlineData(-120.05, 0, 1)]
    public void LoudspeakerWeightFollowsItsPlace(double azimuthDeg, double elevationDeg, double weight) =>
        Assert.Equal(weight, LoudnessScale.WeightOfLoudspeaker(azimuthDeg, elevationDeg));

    [Fact]
    public void NothingIsReadBeforeTheFirstBlockIsFull()
    {
        var meter = MeasureStereo(Tone((0.39, -20)));
        Assert.Equal(double.NegativeInfinity, meter.IntegratedLufs);
        Assert.Equal(double.NegativeInfinity, meter.MaxMomentaryLufs);
        Assert.Equal(0, meter.RangeLu);
    }

    [Fact]
    public void SilenceReadsMinusInfinity()
    {
        var meter = MeasureStereo(new float[4 * RateHz]);
        Assert.Equal(double.NegativeInfinity, meter.IntegratedLufs);
        Assert.Equal(double.NegativeInfinity, meter.MaxShortTermLufs);
    }

    [Fact]
    public void ResetEqualsNew()
    {
        var signal = Noise(1, RateHz * 5);
        var meter = MeasureStereo(Tone((5, -6)));
        meter.Reset();
        ForEachBlock([signal, signal], meter.Process);
        var fresh = MeasureStereo(signal);
        Assert.Equal(fresh.IntegratedLufs, meter.IntegratedLufs);
        Assert.Equal(fresh.MaxMomentaryLufs, meter.MaxMomentaryLufs);
        Assert.Equal(fresh.MaxShortTermLufs, meter.MaxShortTermLufs);
        Assert.Equal(fresh.RangeLu, meter.RangeLu);
    }

    [Fact]
    public void ReadingDoesNotDependOnBlockLength()
    {
        var signal = Noise(2, RateHz * 4);
        var uneven = Measure(RateHz, [1], signal);
        var whole = new LoudnessMeter(RateHz, [1]);
        whole.Process(new float[][] { signal });
        Assert.Equal(whole.IntegratedLufs, uneven.IntegratedLufs, 1e-9);
        Assert.Equal(whole.MaxMomentaryLufs, uneven.MaxMomentaryLufs, 1e-9);
    }

    [Fact]
    public void DamagedSampleCostsItsSliceAndNoMore()
    {
        var signal = Tone((10, -23));
        signal[RateHz] = float.NaN;
        signal[2 * RateHz] = float.PositiveInfinity;
        Assert.Equal(-23, MeasureStereo(signal).IntegratedLufs, 0.1);
    }

    [Fact]
    public void MetersAllocateNothingWhileTheyRun()
    {
        float[][] signal = [Noise(3, 512), Noise(4, 512)];
        var (loudness, peak) = (new LoudnessMeter(RateHz, [1, 1]), new TruePeakMeter(RateHz, 2));
        var before = GC.GetAllocatedBytesForCurrentThread();
        for (var block = 0; block < 400; block++)
        {
            loudness.Process(signal);
            peak.Process(signal);
        }
        var readings = loudness.IntegratedLufs + loudness.RangeLu + loudness.MaxShortTermLufs + peak.MaxPeakDbtp;
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
        Assert.True(double.IsFinite(readings));
    }

    internal static float[] Noise(int seed, int length)
    {
        var random = new Random(seed);
        var signal = new float[length];
        for (var i = 0; i < length; i++)
            signal[i] = (float)(0.2 * (random.NextDouble() - random.NextDouble()));
        return signal;
    }
}
