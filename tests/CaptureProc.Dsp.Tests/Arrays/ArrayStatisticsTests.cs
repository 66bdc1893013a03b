using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Arrays;

public class ArrayStatisticsTests
{
    // No printed table of these is known. The series b_n = iⁿ[α j_n − i(1−α) j_n′] is that of Politis, Array-Response-Simulator
    // (sphModalCoeffs.m), without its 4π; it was evaluated by a program of its own, and by quadrature of the pattern over the sphere:
    // |b0|, |b1|, arg b0, arg b1 in degrees, and the coherence of two capsules of a regular tetrahedron in a diffuse field.
    // Its digits bound the tolerance.
    [Theory]
    [InlineData(.5, 0.1, .499445, .166999, 1.91, 5.72, .6644)]
    [InlineData(.5, 0.5, .486265, .174439, 9.62, 27.77, .6127)]
    [InlineData(.5, 1, .446871, .192281, 19.69, 51.55, .4684)]
    [InlineData(.5, 2, .314753, .217912, 43.76, 87.47, .1023)]
    [InlineData(.5, 3, .174432, .195661, 82.25, 117.95, -.0703)]
    [InlineData(.5, 5, .107032, .090389, -153.63, -148.26, .0371)]
    [InlineData(.7, 0.1, .698905, .102389, .82, 13.16, .9192)]
    [InlineData(.7, 1, .595919, .222690, 8.72, 71.21, .5782)]
    [InlineData(.7, 2, .344016, .304833, 22.31, 88.91, -.0056)]
    [InlineData(.7, 5, .137247, .080982, -168.00, -124.72, .0982)]
    public void ModesAndCoherenceEqualTheSeriesAsAnotherProgramEvaluatesIt(double pattern, double kr, double b0, double b1, double arg0Deg, double arg1Deg, double coherence)
    {
        var statistics = new ArrayStatistics(Tetrahedron.Array(radiusMm: 20, pattern));
        var wavenumber = kr / 0.02;
        var (mode0, mode1) = statistics.Modes(wavenumber);
        Assert.Equal(b0, mode0.Magnitude, 6e-7);
        Assert.Equal(b1, mode1.Magnitude, 6e-7);
        Assert.Equal(arg0Deg, mode0.Phase * 180 / Math.PI, 6e-3);
        Assert.Equal(arg1Deg, mode1.Phase * 180 / Math.PI, 6e-3);
        var covariance = new double[16];
        statistics.DiffuseCovariance(wavenumber, covariance);
        Assert.Equal(coherence, covariance[1] / covariance[0], 6e-5);
    }

    [Theory]
    [InlineData(.5, .01)]
    [InlineData(.5, .7)]
    [InlineData(.3, 3.3)]
    [InlineData(.8, 9)]
    public void ClosedFormsEqualTheMeanOverTheSphereForAnyDirections(double pattern, double kr)
    {
        var array = new CapsuleArray([new(10, 70), new(100, -20), new(-130, 5), new(-20, -40)], 0.02, pattern, Rotation3D.FromYawPitchRollDeg(20, 30, 40));
        var statistics = new ArrayStatistics(array);
        var wavenumber = kr / 0.02;
        var look = array.LookDirections();
        var mean = new Complex[4];
        var product = new Complex[4, 4];
        var (withX, s) = (new Complex[4], new Complex[4]);
        foreach (var (u, weight) in Sphere.Quadrature(40, 80))
        {
            for (var i = 0; i < 4; i++)
                s[i] = PlaneWaveResponse.Evaluate(look[i], u, 0.02, pattern, wavenumber);
            for (var i = 0; i < 4; i++)
            {
                mean[i] += weight * s[i];
                withX[i] += weight * u.X * s[i];
                for (var j = 0; j < 4; j++)
                    product[i, j] += weight * s[i] * Complex.Conjugate(s[j]);
            }
        }
        var covariance = new double[16];
        statistics.DiffuseCovariance(wavenumber, covariance);
        var (b0, b1) = statistics.Modes(wavenumber);
        for (var i = 0; i < 4; i++)
        {
            Assert.Equal(0, (mean[i] - b0).Magnitude, 1e-12);
            Assert.Equal(0, (withX[i] - b1 * look[i].X).Magnitude, 1e-12);
            for (var j = 0; j < 4; j++)
                Assert.Equal(0, (product[i, j] - covariance[i * 4 + j]).Magnitude, 1e-12);
        }
    }
}
