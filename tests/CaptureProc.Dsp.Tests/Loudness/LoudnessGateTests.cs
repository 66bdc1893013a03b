using static CaptureProc.Dsp.Tests.Loudness.LoudnessSignals;

namespace CaptureProc.Dsp.Tests.Loudness;

/// <summary>Where the gates of loudness and loudness range lie, to a twentieth of a LU on either side.</summary>
/// <remarks>
/// Two tones of one length, the softer one q times as strong: the ungated mean is (1 + q)/2 of the louder one, so a gate g LU below
/// it lies at the softer tone where q = g·(1 + q)/2, which is g/(2 − g). A stereo tone of 1 kHz reads its peak level.
/// </remarks>
public class LoudnessGateTests
{
    private const double BesideLu = 0.05;

    // ITU-R BS.1770-5, Annex 1: −10 LU below the mean of what passes −70 LUFS. Blocks below it do not count.
    [Theory]
    [InlineData(+BesideLu, true)]
    [InlineData(-BesideLu, false)]
    public void TheRelativeGateLiesTenBelowTheMean(double besideLu, bool passes)
    {
        var softDb = Edge(0.1) + besideLu;
        var meter = MeasureStereo(Tone((15, -20), (15, -20 + softDb)));
        var mean = -20 + 10 * Math.Log10((1 + Math.Pow(10, softDb / 10)) / 2);
        Assert.Equal(passes ? mean : -20, meter.IntegratedLufs, 0.1);
    }

    // EBU Tech 3342: −20 LU below the mean of the short-term values above −70 LUFS, then the 10th and the 95th percentile.
    [Theory]
    [InlineData(+BesideLu, true)]
    [InlineData(-BesideLu, false)]
    public void TheGateOfTheRangeLiesTwentyBelowTheMean(double besideLu, bool passes)
    {
        var softDb = Edge(0.01) + besideLu;
        var meter = MeasureStereo(Tone((60, -20), (60, -20 + softDb)));
        Assert.Equal(passes ? -softDb : 0, meter.RangeLu, 0.1);
    }

    // Both standards: nothing at −70 LUFS or below counts at all.
    [Theory]
    [InlineData(+BesideLu, true)]
    [InlineData(-BesideLu, false)]
    public void TheAbsoluteGateLiesAtMinusSeventy(double besideLu, bool passes)
    {
        var alone = MeasureStereo(Tone((5, -70 + besideLu)));
        Assert.Equal(passes ? -70 + besideLu : double.NegativeInfinity, alone.IntegratedLufs, 0.03);
        // The mean of both is −55, so the gate of the range, at −75, lets pass what the absolute one does.
        var range = MeasureStereo(Tone((60, -52), (60, -70 + besideLu)));
        Assert.Equal(passes ? 18 - besideLu : 0, range.RangeLu, 0.1);
    }

    private static double Edge(double gate) => 10 * Math.Log10(gate / (2 - gate));
}
