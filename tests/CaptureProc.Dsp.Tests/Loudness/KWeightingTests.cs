using System.Numerics;
using CaptureProc.Dsp.Loudness;

namespace CaptureProc.Dsp.Tests.Loudness;

public class KWeightingTests
{
    // ITU-R BS.1770-5 Annex 1, tables 1 and 2 (48 kHz).
    [Fact]
    public void CoefficientsAt48KilohertzAreThoseOfTheStandard()
    {
        AssertEqual(new(1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585), KWeighting.Shelf(48_000), 5e-12);
        AssertEqual(new(1, -2, 1, -1.99004745483398, 0.99007225036621), KWeighting.HighPass(48_000), 5e-12);
    }

    // Computed from the prototype in libebur128 by a separate program; the high-pass numerator is our own choice (see there).
    [Theory]
    [InlineData(44_100, 1.53084123005035, -2.65097999515473, 1.16907907992159, -1.66365511325602, 0.71259542807323, -1.98916967362980, 0.98919903578704)]
    [InlineData(96_000, 1.55971422897580, -2.92674157825108, 1.37826120231582, -1.84460946989011, 0.85584332293064, -1.99501754472472, 0.99502375904092)]
    public void CoefficientsAtOtherRatesFollowThePrototype(int rateHz, double b0, double b1, double b2, double a1, double a2, double c1, double c2)
    {
        AssertEqual(new(b0, b1, b2, a1, a2), KWeighting.Shelf(rateHz), 5e-12);
        Assert.Equal(c1, KWeighting.HighPass(rateHz).A1, 5e-12);
        Assert.Equal(c2, KWeighting.HighPass(rateHz).A2, 5e-12);
    }

    // dB at 48 kHz, computed from the standard's own coefficients.
    [Theory]
    [InlineData(20, -13.275)]
    [InlineData(63, -2.664)]
    [InlineData(200, -0.265)]
    [InlineData(997, 0.691)]
    [InlineData(2000, 3.071)]
    [InlineData(8000, 4.039)]
    public void CurveIsTheSameAtEveryRateWhereHearingIs(double frequencyHz, double gainDb)
    {
        Assert.Equal(gainDb, GainDb(frequencyHz, 48_000), 0.0006);
        // The bilinear transform squeezes the top of the band, so the shelf may lean there a little with the rate.
        foreach (var rateHz in new[] { 44_100, 88_200, 96_000, 176_400, 192_000 })
            Assert.Equal(gainDb, GainDb(frequencyHz, rateHz), frequencyHz < 2000 ? 0.006 : 0.06);
    }

    [Fact]
    public void RateTooLowForTheShelfIsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => KWeighting.Shelf(4000));

    private static double GainDb(double frequencyHz, double rateHz)
    {
        var z1 = Complex.Exp(new Complex(0, -2 * Math.PI * frequencyHz / rateHz));
        var power = 1.0;
        foreach (var s in new[] { KWeighting.Shelf(rateHz), KWeighting.HighPass(rateHz) })
            power *= Complex.Abs((s.B0 + z1 * (s.B1 + z1 * s.B2)) / (1 + z1 * (s.A1 + z1 * s.A2)));
        return 20 * Math.Log10(power);
    }

    private static void AssertEqual(BiquadCoefficients expected, BiquadCoefficients actual, double tolerance)
    {
        Assert.Equal(expected.B0, actual.B0, tolerance);
        Assert.Equal(expected.B1, actual.B1, tolerance);
        Assert.Equal(expected.B2, actual.B2, tolerance);
        Assert.Equal(expected.A1, actual.A1, tolerance);
        Assert.Equal(expected.A2, actual.A2, tolerance);
    }
}
