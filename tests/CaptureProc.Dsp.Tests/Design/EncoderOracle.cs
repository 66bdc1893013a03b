using System.Numerics;
using CaptureProc.Dsp.Ambisonics;
using CaptureProc.Dsp.Arrays;
using CaptureProc.Dsp.Convolution;
using CaptureProc.Dsp.Geometry;
using MathNet.Numerics.LinearAlgebra;

namespace CaptureProc.Dsp.Tests.Design;

/// <summary>
/// What an encoder really does, and what none can beat, by a route of its own: the capsules' plane-wave response summed over
/// a quadrature of the sphere, the filters' discrete-time Fourier transform, and MathNet's linear algebra.
/// </summary>
internal sealed class EncoderOracle
{
    private const int Latitudes = 28, Meridians = 56;

    private readonly CapsuleArray array;
    private readonly Complex[][] heard; // per direction, per capsule
    private readonly double[][] harmonics; // per direction, per channel
    private readonly double[] weights;

    public EncoderOracle(CapsuleArray array, double frequencyHz, double speedOfSoundMps)
    {
        this.array = array;
        var look = array.LookDirections();
        var points = Sphere.Quadrature(Latitudes, Meridians).ToArray();
        weights = [.. points.Select(p => p.Weight)];
        harmonics = [.. points.Select(p => Harmonics(p.Unit))];
        heard = [.. points.Select(p => look.Select(u => PlaneWaveResponse.Evaluate(
            u, p.Unit, array.RadiusM, array.Pattern, 2 * Math.PI * frequencyHz / speedOfSoundMps)).ToArray())];
    }

    /// <summary>√(2 − 2ρ): least relative error of a channel with its diffuse-field level held.</summary>
    public double Limit(int channel)
    {
        var n = array.Capsules.Count;
        var g = Matrix<Complex>.Build.Dense(n, n);
        var q = MathNet.Numerics.LinearAlgebra.Vector<Complex>.Build.Dense(n);
        var power = 0.0;
        for (var p = 0; p < weights.Length; p++)
        {
            var y = harmonics[p][channel];
            power += weights[p] * y * y;
            for (var i = 0; i < n; i++)
            {
                q[i] += weights[p] * y * Complex.Conjugate(heard[p][i]);
                for (var j = 0; j < n; j++)
                    g[i, j] += weights[p] * Complex.Conjugate(heard[p][i]) * heard[p][j];
            }
        }
        var rho = Math.Sqrt(q.ConjugateDotProduct(g.Solve(q)).Real / power);
        return Math.Sqrt(Math.Max(0, 2 - 2 * rho));
    }

    /// <summary>Relative error of one channel over the sphere, and its diffuse-field level in dB.</summary>
    /// <param name="advanceSeconds">A common advance of the outputs that is taken out before comparing.</param>
    public (double Error, double DiffuseDb) Evaluate(
        MatrixFilter filter, int channel, double frequencyHz, double sampleRateHz, double advanceSeconds = 0)
    {
        var turn = Complex.FromPolarCoordinates(1, -2 * Math.PI * frequencyHz * advanceSeconds);
        var gains = new Complex[filter.Inputs];
        for (var input = 0; input < filter.Inputs; input++)
            gains[input] = Response(filter.Taps(channel, input), filter.LatencyFrames, frequencyHz / sampleRateHz);
        double error = 0, level = 0, power = 0;
        for (var p = 0; p < weights.Length; p++)
        {
            var output = Complex.Zero;
            for (var i = 0; i < gains.Length; i++)
                output += turn * gains[i] * heard[p][i];
            var y = harmonics[p][channel];
            error += weights[p] * (output - y).Magnitude * (output - y).Magnitude;
            level += weights[p] * output.Magnitude * output.Magnitude;
            power += weights[p] * y * y;
        }
        return (Math.Sqrt(error / power), 10 * Math.Log10(level / power));
    }

    private static Complex Response(ReadOnlySpan<float> taps, int latency, double cyclesPerSample)
    {
        var sum = Complex.Zero;
        for (var n = 0; n < taps.Length; n++)
            sum += taps[n] * Complex.FromPolarCoordinates(1, -2 * Math.PI * cyclesPerSample * (n - latency));
        return sum;
    }

    private static double[] Harmonics(Vector3D u)
    {
        var values = new double[4];
        SphericalHarmonics.Evaluate(u, values);
        return values;
    }
}
