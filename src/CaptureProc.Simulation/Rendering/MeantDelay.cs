using System.Numerics;

namespace CaptureProc.Simulation.Rendering;

/// <summary>The delay that lines two direct sounds up best, as they were recorded.</summary>
/// <remarks>
/// Thread: [any]. It is where C(τ) = Re Σ |S|²·A·B*·e^{jωτ} is largest, over the bins from 300 Hz to 8 kHz: S the clap, A and B the two
/// direct responses. So every frequency counts with its strength in both recordings, |S|²·|A|·|B|, which is what the ear of a mixer and any
/// correlation of the recordings weigh by. Error: below 1e-6 sample (Newton steps on the closed sum).
/// </remarks>
internal static class MeantDelay
{
    private const double LowestHz = 300, HighestHz = 8000;

    // The microphones' own delays move the best place by a few samples; a whole period of the clap away lies the next summit.
    private const double SearchSeconds = 0.0005;

    /// <param name="sign">1, or −1 where the pattern hears the source from behind.</param>
    /// <param name="nearSamples">Delay of the geometry, about which it is looked for.</param>
    public static double Of(ReadOnlySpan<double> power, ReadOnlySpan<Complex> array, ReadOnlySpan<Complex> spot, int sign, double nearSamples, double sampleRateHz)
    {
        var size = 2 * (array.Length - 1);
        var first = (int)Math.Ceiling(LowestHz * size / sampleRateHz);
        var last = Math.Min((int)(HighestHz * size / sampleRateHz), array.Length - 2);
        var cross = new Complex[last - first + 1];
        for (var i = 0; i < cross.Length; i++)
            cross[i] = sign * power[first + i] * array[first + i] * Complex.Conjugate(spot[first + i])
                * Complex.FromPolarCoordinates(1, 2 * Math.PI * (first + i) / size * nearSamples);

        var (best, bestAt) = (double.NegativeInfinity, 0.0);
        const double step = 0.25;
        var steps = (int)(SearchSeconds * sampleRateHz / step);
        for (var k = -steps; k <= steps; k++)
        {
            var turn = Complex.FromPolarCoordinates(1, 2 * Math.PI / size * k * step);
            var phase = Complex.FromPolarCoordinates(1, 2 * Math.PI * first / size * k * step);
            var sum = 0.0;
            foreach (var value in cross)
            {
                sum += value.Real * phase.Real - value.Imaginary * phase.Imaginary;
                phase *= turn;
            }
            if (sum > best)
                (best, bestAt) = (sum, k * step);
        }
        for (var iteration = 0; iteration < 8; iteration++)
        {
            var (slope, bend) = (0.0, 0.0);
            for (var i = 0; i < cross.Length; i++)
            {
                var omega = 2 * Math.PI * (first + i) / size;
                var value = cross[i] * Complex.FromPolarCoordinates(1, omega * bestAt);
                slope -= omega * value.Imaginary;
                bend -= omega * omega * value.Real;
            }
            bestAt -= Math.Clamp(slope / bend, -step, step);
        }
        return nearSamples + bestAt;
    }
}
