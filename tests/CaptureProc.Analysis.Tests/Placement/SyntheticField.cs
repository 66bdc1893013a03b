using CaptureProc.Analysis.Placement;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.Placement;

/// <summary>Fields whose every figure is known in closed form, as four channels W, Y, Z, X.</summary>
internal static class SyntheticField
{
    public const double SampleRateHz = 48000;

    public static float[][] Silent(double seconds) => [.. Enumerable.Range(0, 4).Select(_ => new float[(int)(seconds * SampleRateHz)])];

    /// <summary>White noise as a plane wave: W = s, (X, Y, Z) = u·s.</summary>
    public static float[][] AddPlaneWave(float[][] field, Vector3D u, double rms, SeededRandom chance)
    {
        for (var n = 0; n < field[0].Length; n++)
        {
            var s = rms * chance.Gaussian();
            field[0][n] += (float)s;
            field[1][n] += (float)(s * u.Y);
            field[2][n] += (float)(s * u.Z);
            field[3][n] += (float)(s * u.X);
        }
        return field;
    }

    /// <summary>
    /// An isotropic field: at one point pressure and velocity of it are independent, and each velocity has a third of the power
    /// (Jacobsen, The diffuse sound field, 1979, from memory).
    /// </summary>
    public static float[][] AddDiffuse(float[][] field, double rms, SeededRandom chance)
    {
        for (var c = 0; c < 4; c++)
            for (var n = 0; n < field[c].Length; n++)
                field[c][n] += (float)(rms * chance.Gaussian() * (c == 0 ? 1 : Math.Sqrt(1.0 / 3)));
        return field;
    }

    /// <summary>What an array without spots is told about itself; its filter lets a field through as it is.</summary>
    public static PlacementInput Plain()
    {
        var through = new Dsp.Convolution.MatrixFilter(4, 4, 1, 0);
        for (var c = 0; c < 4; c++)
            through.Taps(c, c)[0] = 1;
        return new PlacementInput(SampleRateHz, 343.2, [0, 1, 2, 3], through, 0.0147, []);
    }

    /// <summary>The tetrahedron of 14.7 mm with full correction.</summary>
    public static PlacementInput Tetrahedron()
    {
        var array = new CapsuleArray(Simulation.Scenes.SceneGenerator.Tetrahedron, 0.0147, 0.5, Rotation3D.Identity);
        return new PlacementInput(SampleRateHz, 343.2, [0, 1, 2, 3], EncoderDesign.Design(array, SampleRateHz, 343.2, Correction.Full), 0.0147, []);
    }

    public static RehearsalResult Hear(float[][] channels, PlacementInput input) =>
        new RehearsalMeasurement(new MemorySource(channels), input).Measure(0, channels[0].Length);
}
