using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Dsp.Tests.LineUp;

/// <summary>Gaussian pink noise that never repeats, from a transform as long as the noise: exact in its spectrum's mean.</summary>
internal static class LineUpNoise
{
    public static float[] Pink(int frames, double sampleRateHz, double rms, Random chance)
    {
        var fft = new RealFft<double>((int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)frames));
        var (re, im, samples) = (new double[fft.BinCount], new double[fft.BinCount], new double[fft.Size]);
        for (var k = 1; k < fft.BinCount - 1; k++)
        {
            var hz = k * sampleRateHz / fft.Size;
            if (hz is < 17.8 or > 22387)
                continue;
            // A complex Gaussian: exponential power, uniform phase. Powers of 1/f between the edges sum to the logarithm.
            var size = rms * fft.Size * Math.Sqrt(-Math.Log(1 - chance.NextDouble()) / k / Math.Log(22387 / 17.8) / 2);
            var (sin, cos) = Math.SinCos(2 * Math.PI * chance.NextDouble());
            (re[k], im[k]) = (size * cos, size * sin);
        }
        fft.Inverse(re, im, samples);
        return Array.ConvertAll(samples[..frames], s => (float)s);
    }
}
