using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Ambisonics;

public class SphericalHarmonicsTests
{
    // The associated Legendre form of ACN/SN3D as in the EBU ADM Renderer (hoa.py), evaluated by two independent programs;
    // printed with nine digits, so half a unit of the ninth is the tolerance.
    public static TheoryData<double, double, double[]> EvaluatedValues => new()
    {
        { 0, 0, [1, 0, 0, 1, 0, 0, -0.5, 0, 0.866025404, 0, 0, 0, 0, -0.612372436, 0, 0.790569415] },
        { 90, 0, [1, 1, 0, 0, 0, 0, -0.5, 0, -0.866025404, -0.790569415, 0, -0.612372436, 0, 0, 0, 0] },
        { 180, 0, [1, 0, 0, -1, 0, 0, -0.5, 0, 0.866025404, 0, 0, 0, 0, 0.612372436, 0, -0.790569415] },
        { 0, 90, [1, 0, 1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0] },
        { 45, 35.264389682754654, [1, .577350269, .577350269, .577350269, .577350269, .577350269, 0, .577350269, 0,
            .304290310, .745355992, .235702260, -.384900179, .235702260, 0, -.304290310] },
        { 30, 20, [1, .469846310, .342020143, .813797681, .662266666, .278335200, -.324533332, .482090707, .382359838,
            .655990361, .506488493, -.119436154, -.413008324, -.206869487, .292421268, 0] },
        { -110, -35, [1, -.769751131, -.573576436, -.280166500, .373531444, .764719676, -.006515107, .278335200, -.445157441,
            .217271905, -.479074959, -.304012734, .388612478, -.110651586, .570939303, .376325978] },
    };

    [Theory]
    [MemberData(nameof(EvaluatedValues))]
    public void ValuesEqualTheLegendreFormAsTwoOtherProgramsEvaluateIt(double azimuthDeg, double elevationDeg, double[] expected)
    {
        Span<double> values = stackalloc double[16];
        SphericalHarmonics.Evaluate(new Direction(azimuthDeg, elevationDeg), values);
        for (var acn = 0; acn < 16; acn++)
            Assert.Equal(expected[acn], values[acn], 6e-10);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void SquaresOfOnePlaneWaveAddUpToOrderPlusOneFromEverywhere(int order)
    {
        Span<double> values = new double[SphericalHarmonics.ChannelCount(order)];
        foreach (var u in Sphere.Directions())
        {
            SphericalHarmonics.Evaluate(u, values);
            var sum = 0.0;
            foreach (var v in values)
                sum += v * v;
            Assert.Equal(order + 1, sum, 1e-12);
        }
    }

    [Fact]
    public void HarmonicsAreOrthogonalWithMeanSquareOneOverTwoNPlusOne()
    {
        var gram = new double[16, 16];
        var values = new double[16];
        foreach (var (u, weight) in Sphere.Quadrature(8, 16))
        {
            SphericalHarmonics.Evaluate(u, values);
            for (var i = 0; i < 16; i++)
                for (var j = 0; j < 16; j++)
                    gram[i, j] += weight * values[i] * values[j];
        }
        for (var i = 0; i < 16; i++)
            for (var j = 0; j < 16; j++)
                Assert.Equal(i == j ? 1 / Math.Pow(SphericalHarmonics.N3DOverSN3D(i), 2) : 0, gram[i, j], 1e-13);
    }

    [Theory] // EBU ADM Renderer (hoa.py): N3D over SN3D
    [InlineData(0, 1)]
    [InlineData(2, 1.732050808)]
    [InlineData(6, 2.236067977)]
    [InlineData(15, 2.645751311)]
    public void N3DIsSN3DTimesRootOfTwoNPlusOne(int acn, double expected) =>
        Assert.Equal(expected, SphericalHarmonics.N3DOverSN3D(acn), 1e-9);
}
