using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Scenes;

namespace CaptureProc.Simulation.Tests.Acoustics;

public sealed class CapsuleTests
{
    private const double RateHz = 48000;
    private static readonly Room Hall = new(new Vector3D(200, 200, 200), 1);
    private static readonly Vector3D Centre = new(100, 100, 100);

    [Theory]
    // |1 + (1−α)/(jkr)| on axis, figure-eight and cardioid, c = 343: Eargle, The Microphone Book, eq. 4.6, evaluated.
    [InlineData(0.1, 50, 20.80, 14.89)]
    [InlineData(0.1, 100, 14.89, 9.27)]
    [InlineData(0.1, 200, 9.27, 4.57)]
    [InlineData(0.1, 400, 4.57, 1.66)]
    [InlineData(0.3, 50, 11.54, 6.35)]
    [InlineData(0.3, 100, 6.35, 2.62)]
    [InlineData(0.3, 200, 2.62, 0.82)]
    [InlineData(0.3, 400, 0.82, 0.22)]
    [InlineData(1, 50, 3.41, 1.13)]
    [InlineData(1, 100, 1.13, 0.31)]
    [InlineData(3, 50, 0.54, 0.14)]
    [InlineData(3, 100, 0.14, 0.04)]
    public void NearSourcesRaiseTheLowEndAsTheTextbookFormulaSays(double distanceM, double frequencyHz, double eightDb, double cardioidDb)
    {
        var room = Hall with { SpeedOfSoundMps = 343 };
        // The omni capsule has everything but the rise: the distance, the high-pass, the impulse's own shape.
        var omni = Respond(room, distanceM, 1, frequencyHz);
        Assert.Equal(eightDb, Db(Respond(room, distanceM, 0, frequencyHz) / omni), 0.01);
        Assert.Equal(cardioidDb, Db(Respond(room, distanceM, 0.5, frequencyHz) / omni), 0.01);
    }

    [Theory]
    // Mean of the four capsules (W, X, Y, Z sums, unequalised) for a plane wave from az 30°, el 20°; from the series
    // b_n = iⁿ[α j_n − i(1−α) j_n′] (Array-Response-Simulator, Politis) summed to convergence.
    [InlineData(0.5, 0.5, 0.470233, 0.079493, 0.212296, 0.139828, 0.110055, 0.109985, 0.071916, 0.109057)]
    [InlineData(0.5, 2, 0.131600, 0.127074, -0.027486, 0.335562, -0.171716, 0.227527, -0.224726, 0.233993)]
    [InlineData(0.7, 1, 0.569020, 0.072677, 0.071171, 0.323640, -0.010897, 0.211147, -0.049247, 0.184390)]
    public void AnArrayInAFreeFieldAnswersAsItsSeriesSays(
        double pattern, double kr, double wRe, double wIm, double xRe, double xIm, double yRe, double yIm, double zRe, double zIm)
    {
        // 60 m away a wave is plane to r/d = 2·10⁻⁴. The radius is chosen for kr at 6 kHz.
        const double distanceM = 60;
        const double frequencyHz = 6000;
        var radiusM = kr * Hall.SpeedOfSoundMps / (2 * Math.PI * frequencyHz);
        var source = Centre + distanceM * new Direction(30, 20).ToUnitVector();
        var array = new CapsuleArray(SceneGenerator.Tetrahedron, radiusM, pattern, Rotation3D.Identity);
        var looks = array.LookDirections();
        var image = new ImageSource(source, distanceM, distanceM);
        var reference = Spectrum(new Capsule(Centre, Vector3D.Front, 1), image, frequencyHz);

        var (w, x, y, z) = (Complex.Zero, Complex.Zero, Complex.Zero, Complex.Zero);
        foreach (var look in looks)
        {
            var s = Spectrum(new Capsule(Centre + radiusM * look, look, pattern), image, frequencyHz) / reference / 4;
            var sign = Math.Sqrt(3) * look;
            (w, x, y, z) = (w + s, x + sign.X * s, y + sign.Y * s, z + sign.Z * s);
        }

        Near(new Complex(wRe, wIm), w);
        Near(new Complex(xRe, xIm), x);
        Near(new Complex(yRe, yIm), y);
        Near(new Complex(zRe, zIm), z);

        static void Near(Complex expected, Complex actual) => Assert.InRange((expected - actual).Magnitude, 0, 5e-4);
    }

    [Theory]
    [InlineData(1.0, 0.37)]
    [InlineData(2.345, 0.5)]
    [InlineData(4.2, 1.0)]
    public void OneArrivalComesAfterDistanceOverSpeedAtOneOverDistance(double distanceM, double pattern)
    {
        var image = new ImageSource(Centre + new Vector3D(distanceM, 0, 0), 1, 1);
        var capsule = new Capsule(Centre, Vector3D.Front, pattern);
        // Far above the proximity rise; magnitude and phase delay of a tone are those of an impulse at distance/c.
        const double frequencyHz = 12000;
        var spectrum = Spectrum(capsule, image, frequencyHz);
        var wait = Complex.FromPolarCoordinates(1 / distanceM, -2 * Math.PI * frequencyHz * distanceM / Hall.SpeedOfSoundMps);
        var rise = 1 + (1 - pattern) * Hall.SpeedOfSoundMps / (Complex.ImaginaryOne * 2 * Math.PI * frequencyHz * distanceM);
        var lowCut = 1 / (1 + Capsule.LowCutHz / (Complex.ImaginaryOne * frequencyHz));
        Assert.InRange((spectrum / (wait * rise * lowCut) - 1).Magnitude, 0, 1e-3);
    }

    private static double Respond(Room room, double distanceM, double pattern, double frequencyHz) =>
        Spectrum(new Capsule(Centre, Vector3D.Front, pattern), new ImageSource(Centre + new Vector3D(distanceM, 0, 0), 1, 1), frequencyHz, room).Magnitude;

    private static Complex Spectrum(Capsule capsule, ImageSource image, double frequencyHz, Room? room = null)
    {
        var response = new double[24000];
        capsule.Respond([image], room ?? Hall, RateHz, response);
        var sum = Complex.Zero;
        for (var i = 0; i < response.Length; i++)
            sum += response[i] * Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz / RateHz * (i - BandLimitedImpulse.ReachFrames));
        return sum;
    }

    private static double Db(double ratio) => 20 * Math.Log10(ratio);
}
