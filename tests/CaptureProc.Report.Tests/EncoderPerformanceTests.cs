using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Report.Readings;

namespace CaptureProc.Report.Tests;

public class EncoderPerformanceTests
{
    private const double SpeedOfSoundMps = 343.2;

    private static readonly CapsuleArray Cardioids = new(
        [Look(1, 1, 1), Look(1, -1, -1), Look(-1, 1, -1), Look(-1, -1, 1)], 0.0147, 0.5, Rotation3D.Identity);

    // The least error that four free-field cardioids on 14.7 mm allow when the diffuse level is held, by numerical integration
    // over the sphere in a program of its own (c = 343.2 m/s).
    [Theory]
    [InlineData(100, 0.000, 0.014)]
    [InlineData(500, 0.001, 0.069)]
    [InlineData(1000, 0.004, 0.136)]
    [InlineData(2000, 0.017, 0.257)]
    [InlineData(3000, 0.039, 0.357)]
    [InlineData(5000, 0.118, 0.504)]
    [InlineData(8000, 0.366, 0.667)]
    public void ErrorOfFullIsThatOfTheBestEncoder(double frequencyHz, double limitW, double limitX)
    {
        var full = new EncoderPerformance(Cardioids, 48_000, SpeedOfSoundMps, Correction.Full);
        Assert.Equal(limitW, full.Evaluate(0, frequencyHz).Error, 0.006);
        foreach (var output in new[] { 1, 2, 3 })
            Assert.InRange(full.Evaluate(output, frequencyHz).Error, limitX - 0.002, 1.03 * limitX + 0.005);
    }

    // It does not say which common delay it takes out of the plain matrix; that of W, as here, agrees within 2 %.
    [Theory]
    [InlineData(100, 0.024)]
    [InlineData(1000, 0.224)]
    [InlineData(3000, 0.656)]
    [InlineData(8000, 1.469)]
    public void ErrorOfThePlainMatrixIsThatOfTheSameProgram(double frequencyHz, double expected) =>
        Assert.Equal(expected, new EncoderPerformance(Cardioids, 48_000, SpeedOfSoundMps, Correction.None).Evaluate(3, frequencyHz).Error, 0.0015 + 0.01 * expected);

    // Closed form of the facts of an open sphere of cardioids: P_W = ¼(C_ii + 3 C_ij) relative to kr → 0, at kr = 1: −0.96 dB; P_X: +2.03 dB.
    [Fact]
    public void DiffuseLevelOfThePlainMatrixIsThatOfItsClosedForm()
    {
        var frequencyHz = SpeedOfSoundMps / (2 * Math.PI * Cardioids.RadiusM);
        var plain = new EncoderPerformance(Cardioids, 48_000, SpeedOfSoundMps, Correction.None);
        Assert.Equal(-0.96, plain.Evaluate(0, frequencyHz).LevelDb, 0.006);
        Assert.Equal(2.03, plain.Evaluate(3, frequencyHz).LevelDb, 0.006);
    }

    [Fact]
    public void LowDirectivityIsThatOfTheIdealMicrophone()
    {
        var full = new EncoderPerformance(Cardioids, 48_000, SpeedOfSoundMps, Correction.Full);
        var cardioid = full.Horizontal([0.5, 0, 0, 0.5], 100);
        foreach (var azimuthDeg in new[] { 0, 45, 90, 135, 180 })
            Assert.Equal(0.5 + 0.5 * Math.Cos(azimuthDeg * Math.PI / 180), cardioid(azimuthDeg), 0.02);
    }

    private static Direction Look(double x, double y, double z) => Direction.Of(new Vector3D(x, y, z));
}
