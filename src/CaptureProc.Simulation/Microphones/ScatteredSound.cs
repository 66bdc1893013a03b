using System.Numerics;
using CaptureProc.Dsp.Fourier;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;

namespace CaptureProc.Simulation.Microphones;

/// <summary>The echo of an array's body as short impulse responses, one for every Legendre polynomial of the angle of incidence.</summary>
/// <remarks>
/// Thread: [any] once made. Shape: 128 taps (256 above 50 kHz); time 0, the wave at the array's centre, is the middle tap. The top tenth of the band is faded out, where
/// no sound of the simulator reaches. Error: the orders left out, above ka + 4, lie below −80 dB of the incident wave.
/// </remarks>
internal sealed class ScatteredSound
{
    private readonly double[][] kernels;
    private readonly int taps;

    public ScatteredSound(double bodyRadiusM, double capsuleRadiusM, double pattern, double speedOfSoundMps, double sampleRateHz)
    {
        taps = sampleRateHz > 50000 ? 256 : 128;
        var orders = (int)Math.Ceiling(Math.PI * sampleRateHz / speedOfSoundMps * bodyRadiusM) + 5;
        var fft = new RealFft<double>(taps);
        var factors = new Complex[orders];
        kernels = new double[orders][];
        var (re, im) = (new double[orders][], new double[orders][]);
        for (var n = 0; n < orders; n++)
            (kernels[n], re[n], im[n]) = (new double[taps], new double[fft.BinCount], new double[fft.BinCount]);
        for (var bin = 1; bin < fft.BinCount; bin++)
        {
            var share = (double)bin / (fft.BinCount - 1);
            var fade = share < 0.88 ? 1 : 0.5 + 0.5 * Math.Cos(Math.PI * (share - 0.88) / 0.12);
            RigidSphere.Scattered(2 * Math.PI * bin * sampleRateHz / taps / speedOfSoundMps, bodyRadiusM, capsuleRadiusM, pattern, factors);
            for (var n = 0; n < orders; n++)
            {
                // Half the length later: (−1)^bin.
                var value = (int.IsEvenInteger(bin) ? fade : -fade) * factors[n];
                (re[n][bin], im[n][bin]) = (value.Real, value.Imaginary);
            }
        }
        for (var n = 0; n < orders; n++)
            fft.Inverse(re[n], im[n], kernels[n]);
    }

    /// <summary>Adds the echo of one arrival at an angle to the capsule's axis.</summary>
    /// <param name="centreFrames">When the wave passes the array's centre.</param>
    public void Add(Span<double> response, double centreFrames, double gain, double cosine)
    {
        Span<double> echo = stackalloc double[taps];
        echo.Clear();
        var (previous, legendre) = (0.0, 1.0);
        for (var n = 0; n < kernels.Length; n++)
        {
            var weight = gain * legendre;
            var kernel = kernels[n].AsSpan();
            for (var i = 0; i < taps; i += Vector<double>.Count)
                (new Vector<double>(echo[i..]) + weight * new Vector<double>(kernel[i..])).CopyTo(echo[i..]);
            (previous, legendre) = (legendre, ((2 * n + 1) * cosine * legendre - n * previous) / (n + 1));
        }

        var whole = (int)Math.Floor(centreFrames);
        Span<double> impulse = stackalloc double[2 * BandLimitedImpulse.ReachFrames + 1];
        impulse.Clear();
        BandLimitedImpulse.Add(impulse, BandLimitedImpulse.ReachFrames + (centreFrames - whole), 1);
        Convolution.Add(echo, impulse, response, whole - BandLimitedImpulse.ReachFrames - taps / 2);
    }
}
