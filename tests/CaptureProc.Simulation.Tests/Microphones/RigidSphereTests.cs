using System.Numerics;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Microphones;

namespace CaptureProc.Simulation.Tests.Microphones;

public sealed class RigidSphereTests
{
    [Theory]
    // Pressure on the surface over the pressure that would be there without the sphere, plane wave, from Williams' closed factor 1/((ka)²·h_n′(ka)),
    // with h_n as the finite sums of DLMF 10.49.7, in Python. The dip near 150° and the bright spot behind are those of
    // Duda and Martens, JASA 104(5), 1998, fig. 2.
    [InlineData(0.1, 0, 0.989511, 0.150211)]
    [InlineData(0.1, 90, 0.997814, 0.000330)]
    [InlineData(0.1, 180, 0.989461, -0.149552)]
    [InlineData(1, 0, 0.320617, 1.381684)]
    [InlineData(1, 90, 0.962081, 0.147352)]
    [InlineData(1, 150, 0.235869, -0.964093)]
    [InlineData(1, 180, 0.033749, -1.067587)]
    [InlineData(3, 0, -1.766757, -0.164025)]
    [InlineData(3, 150, -0.439263, 0.394284)]
    [InlineData(3, 180, 0.117613, 1.145267)]
    [InlineData(6, 0, 1.881397, -0.265068)]
    [InlineData(6, 90, 1.290577, 0.129011)]
    [InlineData(6, 180, -1.080010, 0.332238)]
    public void PressureOnItsSurfaceIsThatOfTheTextbooks(double ka, double angleDeg, double re, double im)
    {
        const double radiusM = 0.02;
        var factors = new Complex[(int)ka + 14];
        RigidSphere.Scattered(ka / radiusM, radiusM, radiusM, pattern: 1, factors);
        var cosine = Math.Cos(angleDeg * Math.PI / 180);
        var total = Complex.FromPolarCoordinates(1, ka * cosine) + AtAngle(factors, cosine);
        Assert.InRange((total - new Complex(re, im)).Magnitude, 0, 2e-6);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(70)]
    [InlineData(180)]
    public void SlowWavesGoHalfTheRadiusFurtherRound(double angleDeg)
    {
        // Rayleigh's limit: p = 1 + (3/2)·i·ka·cos γ (Kuhn, JASA 62(1), 1977).
        const double ka = 0.01;
        var factors = new Complex[6];
        RigidSphere.Scattered(ka / 0.01, 0.01, 0.01, 1, factors);
        var cosine = Math.Cos(angleDeg * Math.PI / 180);
        var total = Complex.FromPolarCoordinates(1, ka * cosine) + AtAngle(factors, cosine);
        Assert.Equal(1.5 * ka * cosine, total.Imaginary, 1e-5);
        Assert.Equal(1, total.Real, 3e-4);
    }

    [Fact]
    public void NothingMovesAtItsSurface()
    {
        // A figure-eight on the surface hears the velocity: that of the wave alone, −i·j_n′ an order, is taken away to nothing.
        const double ka = 2.3;
        var factors = new Complex[16];
        RigidSphere.Scattered(ka / 0.015, 0.015, 0.015, pattern: 0, factors);
        foreach (var cosine in (double[])[-1, -0.3, 0.6, 1])
        {
            var moved = cosine * Complex.FromPolarCoordinates(1, ka * cosine) + AtAngle(factors, cosine);
            Assert.InRange(moved.Magnitude, 0, 1e-9);
        }
    }

    [Theory]
    // j_n: Abramowitz and Stegun, table 10.1 (DLMF 10.49.2-3): j_2(1) = 0.062035052, y_2(1) = −3.605017566, j_5(5) = 0.10681116.
    [InlineData(2, 1, 0.0620350520, -3.6050175662)]
    [InlineData(0, 0.5, 0.9588510772, -1.7551651238)]
    public void WavesAreThoseOfTheTables(int order, double x, double j, double y)
    {
        var (standing, slope, outgoing, slopeOutgoing) = (new double[8], new double[8], new Complex[8], new Complex[8]);
        SphericalWaves.Evaluate(x, standing, slope, outgoing, slopeOutgoing);
        Assert.Equal(j, standing[order], 1e-9);
        Assert.Equal(-y, outgoing[order].Imaginary, 1e-9);
        // DLMF 10.50.1: j·y′ − j′·y = 1/x².
        Assert.Equal(1 / (x * x), -standing[order] * slopeOutgoing[order].Imaginary + slope[order] * outgoing[order].Imaginary, 1e-9);
    }

    private static Complex AtAngle(Complex[] factors, double cosine)
    {
        var (sum, previous, legendre) = (Complex.Zero, 0.0, 1.0);
        for (var n = 0; n < factors.Length; n++)
        {
            sum += factors[n] * legendre;
            (previous, legendre) = (legendre, ((2 * n + 1) * cosine * legendre - n * previous) / (n + 1));
        }
        return sum;
    }
}
