namespace CaptureProc.Simulation.Signals;

/// <summary>Noise as of <see cref="NoiseSounds"/>, faster.</summary>
/// <remarks>
/// Thread: [any]. The pink part comes from three first-order sections, within 0.6 dB of −3 dB an octave from 25 Hz to 10 kHz at 48 kHz
/// (P. Kellet's economy filter, from memory), which at other rates lies the higher or lower with them.
/// </remarks>
public static class QuickNoise
{
    public static void Add(Span<double> channel, double rms, double pinkShare, SeededRandom chance)
    {
        var (white, pink) = (rms * Math.Sqrt(1 - pinkShare), rms * Math.Sqrt(pinkShare) / PinkRms);
        var (b0, b1, b2) = (0.0, 0.0, 0.0);
        for (var i = 0; i < channel.Length; i++)
        {
            channel[i] += white * QuickGaussian.Next(chance);
            if (pink == 0)
                continue;
            var w = QuickGaussian.Next(chance);
            b0 = 0.99765 * b0 + 0.0990460 * w;
            b1 = 0.96300 * b1 + 0.2965164 * w;
            b2 = 0.57000 * b2 + 1.0526913 * w;
            channel[i] += pink * (b0 + b1 + b2 + 0.1848 * w);
        }
    }

    /// <summary>RMS of the sections for white noise of RMS 1, in closed form: Σ over n of h[n]².</summary>
    private static double PinkRms { get; } = MeasureRms();

    private static double MeasureRms()
    {
        ReadOnlySpan<double> pole = [0.99765, 0.96300, 0.57000], residue = [0.0990460, 0.2965164, 1.0526913];
        var (sum, first) = (0.0, 0.1848);
        for (var i = 0; i < pole.Length; i++)
        {
            first += residue[i];
            for (var j = 0; j < pole.Length; j++)
                sum += residue[i] * residue[j] * pole[i] * pole[j] / (1 - pole[i] * pole[j]);
        }
        return Math.Sqrt(sum + first * first);
    }
}
