using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;

namespace CaptureProc.Dsp.Tests.Binaural;

/// <summary>What a decoder makes of a field, by the plain definition of the Fourier transform at any frequency.</summary>
internal static class DecodedSource
{
    public static Complex Gain(MatrixFilter filter, double sampleRateHz, int ear, int channel, double frequencyHz)
    {
        var sum = Complex.Zero;
        var taps = filter.Taps(ear, channel);
        for (var n = 0; n < taps.Length; n++)
            sum += taps[n] * Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz / sampleRateHz * (n - filter.LatencyFrames));
        return sum;
    }

    public static Complex[] Gains(MatrixFilter filter, double sampleRateHz, int ear, double frequencyHz)
    {
        var gains = new Complex[filter.Inputs];
        for (var channel = 0; channel < gains.Length; channel++)
            gains[channel] = Gain(filter, sampleRateHz, ear, channel, frequencyHz);
        return gains;
    }

    /// <summary>The response of an ear to a plane wave, with the latency taken out.</summary>
    public static Complex Response(Complex[] gains, Direction direction)
    {
        var harmonics = new double[gains.Length];
        SphericalHarmonics.Evaluate(direction, harmonics);
        var sum = Complex.Zero;
        for (var channel = 0; channel < harmonics.Length; channel++)
            sum += harmonics[channel] * gains[channel];
        return sum;
    }

    public static Complex Response(MatrixFilter filter, double sampleRateHz, int ear, Direction direction, double frequencyHz) =>
        Response(Gains(filter, sampleRateHz, ear, frequencyHz), direction);

    /// <summary>Power of an ear in a diffuse field of unit W, and the coherence of both ears.</summary>
    public static (double LeftPower, double RightPower, Complex Coherence) Diffuse(MatrixFilter filter, double sampleRateHz, double frequencyHz)
    {
        double left = 0, right = 0;
        var cross = Complex.Zero;
        for (var channel = 0; channel < filter.Inputs; channel++)
        {
            // Mean square of an SN3D channel over the sphere: 1/(2n+1).
            var power = 1.0 / (2 * (int)Math.Sqrt(channel) + 1);
            var (l, r) = (Gain(filter, sampleRateHz, 0, channel, frequencyHz), Gain(filter, sampleRateHz, 1, channel, frequencyHz));
            left += power * l.Magnitude * l.Magnitude;
            right += power * r.Magnitude * r.Magnitude;
            cross += power * l * Complex.Conjugate(r);
        }
        return (left, right, cross / Math.Sqrt(left * right));
    }
}
