using System.Numerics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Geometry;
using MathNet.Numerics.LinearAlgebra;

namespace CaptureProc.Analysis.Clicks;

/// <summary>What each capsule of an array hears of a point source, relative to the pressure at the array's acoustic centre.</summary>
/// <remarks>
/// Thread: [any]. Time factor e^{+jωt}. A capsule at r·l hears a source at d·u over the path p = |d·u − r·l| at an angle γ to its
/// axis: (d/p)·e^{−jk(p−d)}·(α + (1−α)·cos γ·(1 + 1/(jkp))). For d → ∞ this is the plane wave of the array's encoder, whose W is
/// in phase with the centre on average over all directions; at one given direction W deviates (by up to 0.1 sample at 4 kHz
/// and a radius of 14.7 mm), and this is how that deviation is known and taken out.
/// Source: pressure and pressure gradient of a spherical wave, in closed form.
/// </remarks>
public sealed class PointSourceManifold
{
    private readonly Vector3D[] look;
    private readonly double radiusM, pattern, speedOfSoundMps;
    private readonly double[] plainGains;

    public PointSourceManifold(CapsuleArray array, double speedOfSoundMps)
    {
        look = array.LookDirections();
        (radiusM, pattern, this.speedOfSoundMps) = (array.RadiusM, array.Pattern, speedOfSoundMps);
        var rows = Matrix<double>.Build.Dense(look.Length, 4, (i, j) => j switch
        {
            0 => pattern,
            1 => (1 - pattern) * look[i].X,
            2 => (1 - pattern) * look[i].Y,
            _ => (1 - pattern) * look[i].Z,
        });
        plainGains = rows.PseudoInverse().Row(0).ToArray();
    }

    public int CapsuleCount => look.Length;

    /// <summary>Writes one response a bin for a capsule; bin 0, where the proximity term has no bound, reads as bin 1.</summary>
    public void Fill(int capsule, Vector3D direction, double distanceM, double radiansPerSecondPerBin, Span<Complex> response)
    {
        var path = distanceM * direction - radiusM * look[capsule];
        var length = path.Length;
        var cosine = Vector3D.Dot(path, look[capsule]) / length;
        var level = distanceM / length;
        var (plain, near) = (level * (pattern + (1 - pattern) * cosine), level * (1 - pattern) * cosine * speedOfSoundMps / length);
        // One rotation a bin, turned on from bin to bin: two multiplications instead of a sine and a cosine.
        var step = Complex.FromPolarCoordinates(1, -radiansPerSecondPerBin / speedOfSoundMps * (length - distanceM));
        var turn = step;
        for (var bin = 1; bin < response.Length; bin++)
        {
            response[bin] = turn * new Complex(plain, -near / (radiansPerSecondPerBin * bin));
            turn *= step;
        }
        response[0] = response[1].Real;
    }

    /// <summary>W where the wavelength is large against the array: the plain matrix.</summary>
    public double[] ToPlainW(IReadOnlyList<double[]> capsules)
    {
        var w = new double[capsules[0].Length];
        for (var i = 0; i < look.Length; i++)
            for (var n = 0; n < w.Length; n++)
                w[n] += plainGains[i] * capsules[i][n];
        return w;
    }
}
