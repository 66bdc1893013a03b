using System.Numerics;
using CaptureProc.Analysis.Fitting;
using CaptureProc.Analysis.Spectra;
using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Rendering;
using CaptureProc.Simulation.Scenes;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Analysis.Tests.Clicks;

/// <summary>The Cramér-Rao bound of a click's direction at a capsule array, for whoever knew the sound of the click exactly.</summary>
/// <remarks>
/// Capsule i at r·l_i hears g_i·S(ω)·e^{jωr(c_i)/c}, g_i = α + (1−α)c_i, c_i = l_i·u, in noise of its own of density N(ω). Size, time and
/// two angles are unknown; the information about them is (2/n)·Σ |S|²/N·Re(∂_p*·∂_q) over bins and capsules, with
///   ∂_size = g_i,   ∂_time = −jω·g_i,   ∂_angle = ((1−α) + jωr/c·g_i)·(l_i·e).
/// Reflections, and that the sound is known from a noisy spot only, can but make it worse. |S|² comes from the scene in a free field
/// heard by an omni at the array's centre, N from the noise that the simulator makes.
/// Source: the bound for signals in Gaussian noise, as in any text on estimation; the derivatives are worked out here.
/// </remarks>
internal sealed class DirectionBound(double sampleRateHz)
{
    private const int Size = 4096;
    private const double FirstClickSeconds = 0.03;
    private const double SecondsBetween = 0.08;

    private readonly Transform transform = new(Size);

    /// <summary>Deviation about each of two axes in degrees (root of their mean square), a spot.</summary>
    public IReadOnlyDictionary<string, double> OfSpots(Scene scene)
    {
        var array = scene.Arrays[0];
        var rendered = SceneRenderer.Render(scene with
        {
            FreeField = true,
            Noise = null,
            DurationSeconds = FirstClickSeconds + SecondsBetween * (scene.Clicks.Count + 1),
            Clicks = [.. scene.Clicks.Select((click, i) => click with { TimeSeconds = FirstClickSeconds + SecondsBetween * i })],
            Spots = [new SceneSpot("omni", scene.Sources[0].Id, array.CentreM) { Pattern = 1, Aim = Vector3D.Front }],
        }).Channels[4];

        double[][] sounds = [.. scene.Clicks.Select((_, i) => Array.ConvertAll(
            rendered[(int)((FirstClickSeconds + SecondsBetween * i) * sampleRateHz)..][..(int)((SecondsBetween - 0.005) * sampleRateHz)], x => (double)x))];
        // The scene's noise is set against the mean of the clicks' peaks in dB; W of four cardioids is as noisy as one of them.
        var meanPeak = Math.Exp(sounds.Average(s => Math.Log(s.Max(Math.Abs))));
        var noiseRms = meanPeak / Math.Pow(10, scene.Noise!.SignalToNoiseDb / 20);
        var density = NoiseDensity(scene.Noise.PinkShare);
        var bounds = new Dictionary<string, double>();
        for (var i = 0; i < sounds.Length; i++)
        {
            double[] ratio = [.. transform.Forward(sounds[i]).Select((s, k) => (s * Complex.Conjugate(s)).Real / (noiseRms * noiseRms * density[k]))];
            var towards = (scene.Source(scene.Clicks[i].SourceId).PositionM - array.CentreM).Normalised();
            bounds[scene.Spots.First(s => s.SourceId == scene.Clicks[i].SourceId).Id] = Of(array, scene.Room.SpeedOfSoundMps, towards, ratio);
        }
        return bounds;
    }

    private double Of(SceneArray array, double speedOfSoundMps, Vector3D towards, double[] signalToNoise)
    {
        var (alpha, seconds) = (array.Capsules.Pattern, array.Capsules.RadiusM / speedOfSoundMps);
        var first = Vector3D.Cross(Math.Abs(towards.Z) < 0.9 ? Vector3D.Up : Vector3D.Front, towards).Normalised();
        Vector3D[] axes = [first, Vector3D.Cross(towards, first)];
        var information = new double[16];
        foreach (var look in array.Capsules.LookDirections())
        {
            var gain = alpha + (1 - alpha) * Vector3D.Dot(look, towards);
            double[] turn = [Vector3D.Dot(look, axes[0]), Vector3D.Dot(look, axes[1])];
            for (var k = 1; k < signalToNoise.Length - 1; k++)
            {
                var omega = transform.Omega(k) * sampleRateHz;
                var share = 2.0 / Size * signalToNoise[k];
                // Real and imaginary part of the derivative by size, time and the two angles.
                (double Re, double Im)[] slopes =
                [
                    (gain, 0), (0, -omega * gain / sampleRateHz),
                    ((1 - alpha) * turn[0], omega * seconds * gain * turn[0]), ((1 - alpha) * turn[1], omega * seconds * gain * turn[1]),
                ];
                for (var p = 0; p < 4; p++)
                    for (var q = 0; q < 4; q++)
                        information[4 * p + q] += share * (slopes[p].Re * slopes[q].Re + slopes[p].Im * slopes[q].Im);
            }
        }
        var covariance = SmallSolver.Inverse(information)!;
        return Math.Sqrt((covariance[10] + covariance[15]) / 2) * 180 / Math.PI;
    }

    /// <summary>Power density of the simulator's noise at an RMS of 1, from the noise itself.</summary>
    private double[] NoiseDensity(double pinkShare)
    {
        var density = new double[transform.BinCount];
        for (var k = 0; k < density.Length; k++)
            density[k] = 1 - pinkShare + pinkShare * PinkDensity.Value[k];
        return density;
    }

    private static readonly Lazy<double[]> PinkDensity = new(() =>
    {
        const int stretches = 400;
        var noise = new double[stretches * Size];
        NoiseSounds.Add(noise, 1, 1, 48000, new SeededRandom(4711));
        var transform = new Transform(Size);
        var density = new double[transform.BinCount];
        for (var i = 0; i < stretches; i++)
        {
            // A Hann window keeps the strong low end from spilling over; its mean square is 3/8.
            var stretch = noise[(i * Size)..((i + 1) * Size)];
            for (var n = 0; n < Size; n++)
                stretch[n] *= 0.5 - 0.5 * Math.Cos(2 * Math.PI * n / Size);
            var bins = transform.Forward(stretch);
            for (var k = 0; k < bins.Length; k++)
                density[k] += (bins[k].Real * bins[k].Real + bins[k].Imaginary * bins[k].Imaginary) / (0.375 * Size * stretches);
        }
        return density;
    });
}
