using CaptureProc.Dsp.Loudness;
using static CaptureProc.Dsp.Tests.Loudness.LoudnessSignals;

namespace CaptureProc.Dsp.Tests.Loudness;

public class LoudnessRangeTests
{
    // EBU Tech 3342 (2023), table 1, cases 1-4: stereo 1 kHz, 20 s a stretch; it allows 1 LU, the definition gives these exactly.
    [Theory]
    [InlineData(10, new double[] { -20, -30 })]
    [InlineData(5, new double[] { -20, -15 })]
    [InlineData(20, new double[] { -40, -20 })]
    [InlineData(15, new double[] { -50, -35, -20, -35, -50 })]
    public void RangeIsThatOfTech3342(double rangeLu, double[] peaksDb)
    {
        var meter = MeasureStereo(Tone([.. peaksDb.Select(peakDb => (20.0, peakDb))]));
        Assert.Equal(rangeLu, meter.RangeLu, 0.02);
    }

    [Fact]
    public void SteadyToneHasNoRange() => Assert.Equal(0, MeasureStereo(Tone((20, -23))).RangeLu, 0.02);
}
