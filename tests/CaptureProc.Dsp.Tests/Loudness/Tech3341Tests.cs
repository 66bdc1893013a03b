using CaptureProc.Dsp.Loudness;
using CaptureProc.Dsp.RealTime;
using static CaptureProc.Dsp.Tests.Loudness.LoudnessSignals;

namespace CaptureProc.Dsp.Tests.Loudness;

/// <summary>
/// EBU Tech 3341 (2023), table 1: the minimum-requirements signals that can be synthesised, in-phase stereo, 48 kHz, within
/// 0.1 LU as there. Cases 7 and 8 are authentic programmes. The second figure, where one is given, is what the definition
/// yields when computed by libebur128 or by hand: our reading must be that within 0.002 LU.
/// </summary>
public class Tech3341Tests
{
    private const double Silence = double.NegativeInfinity;
    private const double ToleranceLu = 0.1;
    private const double OwnToleranceLu = 0.002;

    [Theory]
    [InlineData(-23, -22.9933)]
    [InlineData(-33, -32.9933)]
    public void Case1And2_SteadyToneReadsTheSameOnAllThreeScales(double peakDb, double computed)
    {
        var meter = MeasureStereo(Tone((20, peakDb)));
        foreach (var reading in new[] { meter.IntegratedLufs, meter.MomentaryLufs, meter.ShortTermLufs })
        {
            Assert.Equal(peakDb, reading, ToleranceLu);
            Assert.Equal(computed, reading, OwnToleranceLu);
        }
    }

    [Fact]
    public void Case3_QuietStretchesFallUnderTheRelativeGate() =>
        AssertIntegrated(-23.0139, Tone((10, -36), (60, -23), (10, -36)));

    [Fact]
    public void Case4_NearSilenceFallsUnderTheAbsoluteGateFirst() =>
        AssertIntegrated(-23.0139, Tone((10, -72), (10, -36), (60, -23), (10, -36), (10, -72)));

    [Fact]
    public void Case5_StretchesSixLuApartAreBothCounted() =>
        AssertIntegrated(-22.9787, Tone((20, -26), (20.1, -20), (20, -26)));

    [Fact]
    public void Case6_SurroundChannelsAreWeighted()
    {
        var (front, centre, side) = (Tone((20, -28)), Tone((20, -24)), Tone((20, -30)));
        var sideWeight = LoudnessScale.WeightOfLoudspeaker(110, 0);
        var meter = Measure(RateHz, [1, 1, 1, sideWeight, sideWeight], front, front, centre, side, side);
        Assert.Equal(-23, meter.IntegratedLufs, ToleranceLu);
        Assert.Equal(-23.0163, meter.IntegratedLufs, OwnToleranceLu);
    }

    [Fact]
    public void Case9_ShortTermIsConstantOverAPeriodicSignal()
    {
        var signal = Tone([.. Enumerable.Repeat(new[] { (1.34, -20.0), (1.66, -30.0) }, 5).SelectMany(pair => pair)]);
        AssertConstant(signal, 3, meter => meter.ShortTermLufs);
    }

    [Fact]
    public void Case10_ThreeSecondBurstReachesItsLevelWhereverItFalls()
    {
        for (var i = 0; i < 20; i++)
            Assert.Equal(-22.9933, MeasureStereo(Tone((i * 0.15, Silence), (3, -23), (1, Silence))).MaxShortTermLufs, OwnToleranceLu);
    }

    [Fact]
    public void Case11_MaximumShortTermFollowsRisingBursts()
    {
        var stretches = new List<(double, double)>();
        for (var i = 0; i < 20; i++)
        {
            stretches.AddRange([(i * 0.15, Silence), (3, -38.0 + i), (3 - i * 0.15, Silence)]);
            Assert.Equal(-38.0 + i, MeasureStereo(Tone([.. stretches])).MaxShortTermLufs, ToleranceLu);
        }
    }

    [Fact]
    public void Case12_MomentaryIsConstantOverAPeriodicSignal()
    {
        var signal = Tone([.. Enumerable.Repeat(new[] { (0.18, -20.0), (0.22, -30.0) }, 25).SelectMany(pair => pair)]);
        AssertConstant(signal, 1, meter => meter.MomentaryLufs);
    }

    [Fact]
    public void Case13_MomentaryBurstReachesItsLevelWhereverItFalls()
    {
        for (var i = 0; i < 20; i++)
            Assert.Equal(-22.9936, MeasureStereo(Tone((i * 0.02, Silence), (0.4, -23), (1, Silence))).MaxMomentaryLufs, OwnToleranceLu);
    }

    [Fact]
    public void Case14_MaximumMomentaryFollowsRisingBursts()
    {
        var stretches = new List<(double, double)>();
        for (var i = 0; i < 20; i++)
        {
            stretches.AddRange([(i * 0.02, Silence), (0.4, -38.0 + i), (0.4 - i * 0.02, Silence)]);
            Assert.Equal(-38.0 + i, MeasureStereo(Tone([.. stretches])).MaxMomentaryLufs, ToleranceLu);
        }
    }

    private static void AssertIntegrated(double computed, float[] signal)
    {
        var reading = MeasureStereo(signal).IntegratedLufs;
        Assert.Equal(-23, reading, ToleranceLu);
        Assert.Equal(computed, reading, OwnToleranceLu);
    }

    private static void AssertConstant(float[] signal, double settledSeconds, Func<LoudnessMeter, double> reading)
    {
        var meter = new LoudnessMeter(RateHz, [1, 1]);
        const int frames = RateHz / 100;
        for (var start = 0; start + frames <= signal.Length; start += frames)
        {
            meter.Process(new ReadOnlyPlanarSpan([signal, signal], start, frames));
            if (start + frames > settledSeconds * RateHz)
                Assert.Equal(-23, reading(meter), ToleranceLu);
        }
    }
}
