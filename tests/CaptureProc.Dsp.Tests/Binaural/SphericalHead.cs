using System.Numerics;
using CaptureProc.Dsp.Binaural;
using CaptureProc.Dsp.Geometry;
using MathNet.Numerics.IntegralTransforms;

namespace CaptureProc.Dsp.Tests.Binaural;

/// <summary>A head whose responses are known in closed form: a rigid sphere with ears at 100 degrees to each side.</summary>
/// <remarks>
/// Pressure on the surface under a plane wave: −j/x²·Σ (2n+1) jⁿ P_n(cos γ)/h'ₙ⁽²⁾(x), x = ka (Duda and Martens, Range dependence of the
/// response of a spherical head model, J. Acoust. Soc. Am. 104(5), 1998, for a distant source; sign of time as in the DFT).
/// </remarks>
internal static class SphericalHead
{
    public const double RadiusM = 0.0875;
    public const double SpeedOfSoundMps = 343;
    public const double SampleRateHz = 48000;

    private const int FftSize = 1024;
    private const int TapCount = 400;
    private const int CentreSamples = 100;
    private const double EarAzimuthDeg = 100;

    public static readonly Vector3D LeftEar = new Direction(EarAzimuthDeg, 0).ToUnitVector();
    public static readonly Vector3D RightEar = new Direction(-EarAzimuthDeg, 0).ToUnitVector();

    public static Complex Response(double frequencyHz, double cosine)
    {
        var x = 2 * Math.PI * frequencyHz * RadiusM / SpeedOfSoundMps;
        var sum = Complex.Zero;
        var derivatives = HankelDerivatives(x);
        var (before, legendre) = (0.0, 1.0);
        var power = Complex.One;
        for (var n = 0; n < derivatives.Length; n++)
        {
            sum += (2 * n + 1) * power * legendre / derivatives[n];
            (before, legendre) = (legendre, ((2 * n + 1) * cosine * legendre - n * before) / (n + 1));
            power *= Complex.ImaginaryOne;
        }
        return -Complex.ImaginaryOne / (x * x) * sum;
    }

    /// <summary>Coherence of the two ears in a diffuse field: the mean over all directions of the series, term by term.</summary>
    public static double DiffuseCoherence(double frequencyHz)
    {
        var x = 2 * Math.PI * frequencyHz * RadiusM / SpeedOfSoundMps;
        var cosine = Vector3D.Dot(LeftEar, RightEar);
        var (cross, power, before, legendre) = (0.0, 0.0, 0.0, 1.0);
        var derivatives = HankelDerivatives(x);
        for (var n = 0; n < derivatives.Length; n++)
        {
            var weight = (2 * n + 1) / Math.Pow(derivatives[n].Magnitude, 2);
            cross += weight * legendre;
            power += weight;
            (before, legendre) = (legendre, ((2 * n + 1) * cosine * legendre - n * before) / (n + 1));
        }
        return cross / power;
    }

    /// <summary>The head as somebody would have measured it, from 500 even directions, left-right symmetric to the last bit.</summary>
    /// <param name="equipment">A spectrum that all responses share; null for ideal loudspeakers and microphones.</param>
    /// <param name="delaySamples">A delay that is given beside the taps instead of in them.</param>
    /// <param name="highestElevationDeg">Directions above or below it are left out.</param>
    public static HeadResponses Measure(Func<double, Complex>? equipment = null, int delaySamples = 0, double highestElevationDeg = 90)
    {
        var directions = new List<Direction>();
        for (var i = 0; i < 500; i++)
        {
            var z = 1 - (2 * i + 1.0) / 500;
            var (sin, cos) = Math.SinCos(i * Math.PI * (3 - Math.Sqrt(5)));
            var ring = Math.Sqrt(1 - z * z);
            var direction = Direction.Of(new Vector3D(ring * cos, ring * sin, z));
            if (sin > 0 && Math.Abs(direction.ElevationDeg) <= highestElevationDeg)
                directions.AddRange([direction, direction with { AzimuthDeg = -direction.AzimuthDeg }]);
        }
        var taps = new float[directions.Count * 2 * TapCount];
        for (var i = 0; i < directions.Count; i++)
        {
            for (var ear = 0; ear < 2; ear++)
            {
                // A mirrored pair shares one response, bit by bit.
                var cosine = Vector3D.Dot(directions[i - i % 2].ToUnitVector(), ear == i % 2 ? LeftEar : RightEar);
                Impulse(cosine, equipment, CentreSamples - delaySamples).CopyTo(taps, (i * 2 + ear) * TapCount);
            }
        }
        return new HeadResponses("sphere", "", SampleRateHz, directions, TapCount, taps, [.. Enumerable.Repeat((double)delaySamples, directions.Count * 2)]);
    }

    private static float[] Impulse(double cosine, Func<double, Complex>? equipment, double centreSamples)
    {
        var spectrum = new Complex[FftSize];
        for (var bin = 1; bin < FftSize / 2; bin++)
        {
            var frequencyHz = bin * SampleRateHz / FftSize;
            // Measured responses end softly before half the rate too.
            var edge = 0.5 + 0.5 * Math.Cos(Math.PI * Math.Clamp((frequencyHz - 21000) / 2500, 0, 1));
            var value = edge * Response(frequencyHz, cosine) * Complex.FromPolarCoordinates(1, -2 * Math.PI * bin * centreSamples / FftSize);
            spectrum[bin] = value * (equipment?.Invoke(frequencyHz) ?? 1);
            spectrum[FftSize - bin] = Complex.Conjugate(spectrum[bin]);
        }
        spectrum[0] = equipment?.Invoke(0).Real ?? 1;
        MathNet.Numerics.IntegralTransforms.Fourier.Inverse(spectrum, FourierOptions.AsymmetricScaling);
        return [.. spectrum.Take(TapCount).Select(v => (float)v.Real)];
    }

    private static Complex[] HankelDerivatives(double x)
    {
        // h⁽²⁾ = j − jy; upward recursion is stable for y, which is all that counts beyond n = x.
        var terms = (int)(x + 20);
        var hankel = new Complex[terms + 2];
        hankel[0] = Complex.ImaginaryOne * Complex.FromPolarCoordinates(1, -x) / x;
        hankel[1] = new Complex(Math.Sin(x) / (x * x) - Math.Cos(x) / x, Math.Cos(x) / (x * x) + Math.Sin(x) / x);
        for (var n = 1; n <= terms; n++)
            hankel[n + 1] = (2 * n + 1) / x * hankel[n] - hankel[n - 1];
        var derivatives = new Complex[terms + 1];
        for (var n = 0; n <= terms; n++)
            derivatives[n] = n / x * hankel[n] - hankel[n + 1];
        return derivatives;
    }
}
