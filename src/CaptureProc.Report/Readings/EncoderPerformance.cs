using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Design;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Report.Readings;

/// <summary>How near an array with its conversion comes to ideal first-order microphones.</summary>
/// <remarks>
/// Definitions: error is the root mean square over all directions of (output − ideal harmonic), over the RMS of the ideal, the
/// delay of W taken out of all outputs alike; level is the RMS over all directions against that of the ideal, in dB, which is the response in a
/// diffuse field. Directions: 16 Gauss-Legendre latitudes by 32 meridians, exact for every order that matters below 20 kHz.
/// </remarks>
public sealed class EncoderPerformance
{
    private const int Meridians = 32;
    private const int W = 0;

    private readonly CapsuleArray array;
    private readonly Vector3D[] look;
    private readonly MatrixFilter filter;
    private readonly double sampleRateHz, speedOfSoundMps;
    private readonly double commonDelaySeconds;

    public EncoderPerformance(CapsuleArray array, double sampleRateHz, double speedOfSoundMps, Correction correction)
    {
        (this.array, this.sampleRateHz, this.speedOfSoundMps) = (array, sampleRateHz, speedOfSoundMps);
        look = array.LookDirections();
        filter = EncoderDesign.Design(array, sampleRateHz, speedOfSoundMps, correction);
        commonDelaySeconds = DelayOfW();
    }

    /// <summary>Error (0 = ideal, 1 = as large as the signal) and diffuse-field level in dB of one output at a frequency.</summary>
    public (double Error, double LevelDb) Evaluate(int output, double frequencyHz)
    {
        Span<Complex> gains = stackalloc Complex[filter.Inputs];
        Gains(output, frequencyHz, gains);
        Span<double> ideal = stackalloc double[4];
        var (error, power, wanted) = (0.0, 0.0, 0.0);
        foreach (var (z, weight) in GaussLegendre16)
        {
            var ring = Math.Sqrt(1 - z * z);
            for (var meridian = 0; meridian < Meridians; meridian++)
            {
                var (sin, cos) = Math.SinCos(2 * Math.PI * meridian / Meridians);
                var source = new Vector3D(ring * cos, ring * sin, z);
                SphericalHarmonics.Evaluate(source, ideal);
                var heard = Response(gains, source, frequencyHz);
                error += weight * Square(heard - ideal[output]);
                power += weight * Square(heard);
                wanted += weight * ideal[output] * ideal[output];
            }
        }
        return (Math.Sqrt(error / wanted), 10 * Math.Log10(power / wanted));
    }

    /// <summary>What a mixture of the outputs hears of sources on the horizon at a frequency: azimuth in degrees to sensitivity, 1 = unity.</summary>
    /// <param name="mixture">Gain of each of the four outputs.</param>
    public Func<double, double> Horizontal(IReadOnlyList<double> mixture, double frequencyHz)
    {
        var sum = new Complex[filter.Inputs];
        Span<Complex> gains = stackalloc Complex[filter.Inputs];
        for (var output = 0; output < filter.Outputs; output++)
        {
            Gains(output, frequencyHz, gains);
            for (var input = 0; input < gains.Length; input++)
                sum[input] += mixture[output] * gains[input];
        }
        return azimuthDeg => Response(sum, new Direction(azimuthDeg, 0).ToUnitVector(), frequencyHz).Magnitude;
    }

    // A bare sum of capsules hears everything early by part of the radius. That shifts the whole field and is no error of direction.
    private double DelayOfW()
    {
        const double probeHz = 100;
        Span<Complex> gains = stackalloc Complex[filter.Inputs];
        Gains(W, probeHz, gains);
        var (b0, _) = new ArrayStatistics(array).Modes(2 * Math.PI * probeHz / speedOfSoundMps);
        var sum = Complex.Zero;
        foreach (var gain in gains)
            sum += gain * b0;
        return -sum.Phase / (2 * Math.PI * probeHz);
    }

    private void Gains(int output, double frequencyHz, Span<Complex> gains)
    {
        for (var input = 0; input < gains.Length; input++)
        {
            var sum = Complex.Zero;
            var taps = filter.Taps(output, input);
            for (var n = 0; n < taps.Length; n++)
                sum += taps[n] * Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz * ((n - filter.LatencyFrames) / sampleRateHz - commonDelaySeconds));
            gains[input] = sum;
        }
    }

    private Complex Response(ReadOnlySpan<Complex> gains, Vector3D source, double frequencyHz)
    {
        var wavenumber = 2 * Math.PI * frequencyHz / speedOfSoundMps;
        var sum = Complex.Zero;
        for (var input = 0; input < gains.Length; input++)
            sum += gains[input] * PlaneWaveResponse.Evaluate(look[input], source, array.RadiusM, array.Pattern, wavenumber);
        return sum;
    }

    private static double Square(Complex value) => value.Real * value.Real + value.Imaginary * value.Imaginary;

    private static readonly (double Z, double Weight)[] GaussLegendre16 = MakeGaussLegendre(16);

    // Newton on the Legendre polynomial from Tricomi's first guess; the weights follow from its slope.
    private static (double, double)[] MakeGaussLegendre(int count)
    {
        var nodes = new (double, double)[count];
        for (var i = 0; i < count; i++)
        {
            var z = Math.Cos(Math.PI * (i + 0.75) / (count + 0.5));
            var slope = 0.0;
            for (var step = 0; step < 10; step++)
            {
                var (before, value) = (1.0, z);
                for (var n = 2; n <= count; n++)
                    (before, value) = (value, ((2 * n - 1) * z * value - (n - 1) * before) / n);
                slope = count * (z * value - before) / (z * z - 1);
                z -= value / slope;
            }
            nodes[i] = (z, 2 / ((1 - z * z) * slope * slope));
        }
        return nodes;
    }
}
