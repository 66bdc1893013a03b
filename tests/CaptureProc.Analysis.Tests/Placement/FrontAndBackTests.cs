using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;
using static CaptureProc.Analysis.Tests.Placement.SyntheticField;

namespace CaptureProc.Analysis.Tests.Placement;

public class FrontAndBackTests
{
    [Theory]
    [InlineData(60)]
    [InlineData(90)]
    [InlineData(150)]
    public void AWaveReadsTheRatioOfTwoCardioids(double azimuthDeg)
    {
        var field = AddPlaneWave(Silent(1), new Direction(azimuthDeg, 0).ToUnitVector(), 0.1, new SeededRandom(1));
        var meter = new FrontAndBack();
        meter.Add(field, field[0].Length - 3);

        var cosine = Math.Cos(azimuthDeg * Math.PI / 180);
        Assert.Equal(20 * Math.Log10((1 + cosine) / (1 - cosine)), meter.RatioDb!.Value, 0.001);
    }

    [Fact]
    public void SteadySoundReadsAsOnTheMeterOfThePlugIn()
    {
        var chance = new SeededRandom(2);
        var field = AddDiffuse(AddPlaneWave(Silent(30), new Direction(40, 10).ToUnitVector(), 0.1, chance), 0.1, chance);
        var (whole, meter) = (new FrontAndBack(), new FrontBackEnergy(SampleRateHz));
        whole.Add(field, field[0].Length);
        for (var n = 0; n + 512 <= field[0].Length; n += 512)
            meter.Add(field[0].AsSpan(n, 512), field[3].AsSpan(n, 512));

        // The meter remembers some seconds of noise, 0.05 dB of chance.
        Assert.Equal(meter.RatioDb, whole.RatioDb!.Value, 0.15);
    }

    [Fact]
    public void SilenceReadsNothing() => Assert.Null(new FrontAndBack().RatioDb);
}
