using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Ambisonics;

public class FrontBackEnergyTests
{
    [Theory] // closed form: (1 + cos a)² over (1 − cos a)²
    [InlineData(30, 22.88)]
    [InlineData(60, 9.542)]
    [InlineData(90, 0)]
    [InlineData(120, -9.542)]
    public void OneSourceReadsTheRatioOfTheTwoCardioids(double azimuthDeg, double expectedDb) =>
        Assert.Equal(expectedDb, Ratio([(new Direction(azimuthDeg, 0), 1)]), 0.01);

    [Fact]
    public void EqualSourcesAheadAndBehindReadZero() =>
        Assert.Equal(0, Ratio([(new Direction(20, 0), 1), (new Direction(160, 0), 1)]), 0.1);

    [Fact]
    public void SilenceReadsZeroAndLeavesNoDenormalNumbers()
    {
        var meter = new FrontBackEnergy(48000);
        var noise = new float[480];
        Array.Fill(noise, 0.1f);
        meter.Add(noise, noise);
        for (var i = 0; i < 20000; i++)
            meter.Add(new float[480], new float[480]);
        Assert.Equal(0, meter.RatioDb);
    }

    // Independent noise from each direction for 20 s, so that the smoother has settled.
    private static double Ratio((Direction Direction, double Gain)[] sources)
    {
        var meter = new FrontBackEnergy(8000);
        var random = new Random(5);
        var harmonics = new double[4];
        for (var block = 0; block < 200; block++)
        {
            float[] w = new float[800], x = new float[800];
            foreach (var (direction, gain) in sources)
            {
                SphericalHarmonics.Evaluate(direction, harmonics);
                for (var n = 0; n < w.Length; n++)
                {
                    var s = gain * (2 * random.NextDouble() - 1);
                    w[n] += (float)s;
                    x[n] += (float)(s * harmonics[3]);
                }
            }
            meter.Add(w, x);
        }
        return meter.RatioDb;
    }
}
