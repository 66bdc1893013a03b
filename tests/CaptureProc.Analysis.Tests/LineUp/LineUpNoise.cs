using System.Numerics;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Rendering.Signals;
using CaptureProc.Simulation;

namespace CaptureProc.Analysis.Tests.LineUp;

/// <summary>What an engineer feeds into the recorder.</summary>
internal static class LineUpNoise
{
    public const int RateHz = 48000;

    // Setting up a transform of half a million points takes as long as running it.
    [ThreadStatic]
    private static RealFft<double>? transform;

    /// <summary>Our own test signal: repeats every 2.7 s.</summary>
    public static double[] Repeating(int frames, ulong seed, double levelDbfs = -12)
    {
        var noise = new PinkNoise(RateHz, frames, 1, levelDbfs, null, seed);
        var samples = new double[frames];
        noise.Render(0, 0, samples);
        return samples;
    }

    /// <summary>Gaussian pink noise that never repeats, from a transform as long as itself.</summary>
    public static double[] NeverRepeating(int frames, SeededRandom chance, double levelDbfs = -12)
    {
        var size = (int)BitOperations.RoundUpToPowerOf2((uint)frames);
        if (transform?.Size != size)
            transform = new RealFft<double>(size);
        var fft = transform;
        var (re, im, samples) = (new double[fft.BinCount], new double[fft.BinCount], new double[fft.Size]);
        for (var k = 1; k < fft.BinCount - 1; k++)
        {
            var hz = (double)k * RateHz / fft.Size;
            if (hz is < 17.8 or > 22387)
                continue;
            // A complex Gaussian: exponential power, uniform phase. Powers of 1/f between the edges sum to the logarithm.
            var amplitude = TestSignal.RmsOf(levelDbfs) * fft.Size * Math.Sqrt(-Math.Log(1 - chance.Uniform()) / k / Math.Log(22387 / 17.8) / 2);
            var (sin, cos) = Math.SinCos(2 * Math.PI * chance.Uniform());
            (re[k], im[k]) = (amplitude * cos, amplitude * sin);
        }
        fft.Inverse(re, im, samples);
        return samples[..frames];
    }
}
