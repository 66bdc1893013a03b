using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Ambisonics;

public class FuMaTests
{
    // Gains: EBU ADM Renderer (hoa.py). Letters in ACN order: common practice, from memory.
    private static readonly double[] PublishedGains =
        [0.707106781, 1, 1, 1, 1.154700538, 1.154700538, 1, 1.154700538, 1.154700538, 1.264911064, 1.341640786, 1.185854123, 1,
            1.185854123, 1.341640786, 1.264911064];

    private const string LettersInAcnOrder = "WYZXVTRSUQOMKLNP";
    private const string LettersInFuMaOrder = "WXYZRSTUVKLMNOPQ";

    [Fact]
    public void GainsEqualThePublishedFactors()
    {
        for (var acn = 0; acn < 16; acn++)
            Assert.Equal(PublishedGains[acn], FuMaTable.GainFromSN3D(acn), 6e-10);
    }

    [Fact]
    public void OrderEqualsTheLettersOfTheFormat()
    {
        for (var position = 0; position < 16; position++)
            Assert.Equal(LettersInFuMaOrder[position], LettersInAcnOrder[FuMaTable.AcnAtPosition(position)]);
    }

    [Fact]
    public void ThereAndBackIsTheSameChannel()
    {
        for (var acn = 0; acn < 16; acn++)
            Assert.Equal(acn, FuMaTable.AcnAtPosition(FuMaTable.PositionOfAcn(acn)));
    }

    [Fact] // MaxN: the largest value of every channel over the sphere is 1, W excepted
    public void EveryFuMaChannelPeaksAtOne()
    {
        var peak = new double[16];
        var values = new double[16];
        for (var el = -90.0; el <= 90; el += 0.5)
        {
            for (var az = 0.0; az < 360; az += 1)
            {
                SphericalHarmonics.Evaluate(new Direction(az, el), values);
                for (var acn = 0; acn < 16; acn++)
                    peak[acn] = Math.Max(peak[acn], Math.Abs(values[acn]) * FuMaTable.GainFromSN3D(acn));
            }
        }
        Assert.Equal(Math.Sqrt(0.5), peak[0], 1e-12);
        for (var acn = 1; acn < 16; acn++)
            Assert.InRange(peak[acn], 0.9998, 1 + 1e-12); // the grid of half a degree misses a maximum by at most 2e-4
    }
}
