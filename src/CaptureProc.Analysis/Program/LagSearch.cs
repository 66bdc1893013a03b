using System.Numerics;
using CaptureProc.Dsp.Fourier;

namespace CaptureProc.Analysis.Program;

/// <summary>The lag at which a spot and W have most in common.</summary>
/// <param name="LagFrames">Frames by which W is later, to the nearest one.</param>
/// <param name="Sign">+1 or −1: the sign of the correlation there.</param>
/// <param name="OverNext">The peak over the highest other one more than 1.5 ms away; 1 means that they are equal.</param>
/// <param name="OverNoise">The peak over the root mean square of the correlation.</param>
public readonly record struct LagPeak(double LagFrames, int Sign, double OverNext, double OverNoise);

/// <summary>Finds the main lag between a spot and W.</summary>
public static class LagSearch
{
    private const double LowestHz = 150;
    private const double HighestHz = 10000;
    private const double ApartSeconds = 0.0015;

    /// <param name="partialCoherence">Of W with the spot, one value a bin; its phase is that of W against the spot.</param>
    /// <param name="windowFrames">Of the transform that the bins come from.</param>
    /// <param name="sampleRateHz">Of the recording.</param>
    /// <param name="longestSeconds">Lags beyond this are not looked at.</param>
    public static LagPeak Find(ReadOnlySpan<Complex> partialCoherence, int windowFrames, double sampleRateHz, double longestSeconds)
    {
        var fft = new RealFft<double>(windowFrames);
        var (re, im) = (new double[fft.BinCount], new double[fft.BinCount]);
        for (var k = 1; k < fft.BinCount - 1; k++)
        {
            var hz = k * sampleRateHz / windowFrames;
            // The coherence itself is the weight: phase alone would let a bin of pure noise count as much as one of music.
            if (hz >= LowestHz && hz <= HighestHz)
                (re[k], im[k]) = (partialCoherence[k].Real, partialCoherence[k].Imaginary);
        }
        var correlation = new double[windowFrames];
        fft.Inverse(re, im, correlation);

        var reach = (int)Math.Min(longestSeconds * sampleRateHz, windowFrames / 2 - 1);
        double At(int lag) => correlation[(lag + windowFrames) % windowFrames];
        var (best, square) = (0, 0.0);
        for (var lag = -reach; lag <= reach; lag++)
        {
            square += At(lag) * At(lag);
            if (Math.Abs(At(lag)) > Math.Abs(At(best)))
                best = lag;
        }
        var next = 0.0;
        var apart = ApartSeconds * sampleRateHz;
        for (var lag = -reach; lag <= reach; lag++)
            if (Math.Abs(lag - best) > apart)
                next = Math.Max(next, Math.Abs(At(lag)));
        var peak = Math.Abs(At(best));
        var rms = Math.Sqrt(square / (2 * reach + 1));
        return new LagPeak(best, At(best) < 0 ? -1 : 1, next > 0 ? peak / next : 1, rms > 0 ? peak / rms : 0);
    }
}
