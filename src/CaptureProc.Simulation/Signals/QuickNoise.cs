namespace CaptureProc.Simulation.Signals;

/// <summary>Noise as of <see cref="NoiseSounds"/>, several times faster: one stream, coloured as the sum of its white and its pink part.</summary>
/// <remarks>
/// Thread: [any]. The pink part comes from three first-order sections, within 0.6 dB of −3 dB an octave from 25 Hz to 10 kHz at 48 kHz
/// (P. Kellet's economy filter, from memory), and lies the higher or lower with the rate. Both parts come from one white stream and
/// partly add as pressures, so the share is one of shape: the RMS is exact, the pink part counts some more than its share.
/// </remarks>
public static class QuickNoise
{
    private static readonly double[] Pole = [0.99765, 0.96300, 0.57000];
    private static readonly double[] Residue = [0.0990460, 0.2965164, 1.0526913];
    private const double Through = 0.1848;

    public static void Add(Span<double> channel, double rms, double pinkShare, SeededRandom chance)
    {
        var pink = Math.Sqrt(pinkShare) / Rms(0, 1);
        var white = Math.Sqrt(1 - pinkShare);
        var gain = rms / Rms(white, pink);
        var (through, r0, r1, r2) = (gain * (white + pink * Through), gain * pink * Residue[0], gain * pink * Residue[1], gain * pink * Residue[2]);
        var (p0, p1, p2) = (Pole[0], Pole[1], Pole[2]);
        var (b0, b1, b2) = (0.0, 0.0, 0.0);
        foreach (ref var sample in channel)
        {
            var w = QuickGaussian.Next(chance);
            b0 = p0 * b0 + w;
            b1 = p1 * b1 + w;
            b2 = p2 * b2 + w;
            sample += through * w + r0 * b0 + r1 * b1 + r2 * b2;
        }
    }

    /// <summary>RMS of white·x plus pink·x through the sections for white noise of RMS 1: √Σh², in closed form.</summary>
    private static double Rms(double white, double pink)
    {
        var (sum, first) = (0.0, white + pink * Through);
        for (var i = 0; i < Pole.Length; i++)
        {
            first += pink * Residue[i];
            for (var j = 0; j < Pole.Length; j++)
                sum += pink * pink * Residue[i] * Residue[j] * Pole[i] * Pole[j] / (1 - Pole[i] * Pole[j]);
        }
        return Math.Sqrt(sum + first * first);
    }
}
