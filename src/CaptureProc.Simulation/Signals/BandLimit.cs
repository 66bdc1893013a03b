using System.Numerics;

namespace CaptureProc.Simulation.Signals;

/// <summary>Ends a sound's spectrum where the simulator's impulses still are exact: at 0.8 of Nyquist, gone by 0.9.</summary>
/// <remarks>Thread: [any]. Linear phase, a Kaiser window of β 9 (−90 dB) over 0.1 of Nyquist; the delay of the filter is taken out.</remarks>
public static class BandLimit
{
    private const int Half = 58;

    private static readonly double[] Taps = MakeTaps();

    /// <summary>The sound with the top of its band removed, longer by the filter's reach on either side.</summary>
    public static double[] Apply(ReadOnlySpan<double> sound)
    {
        var limited = new double[sound.Length + 2 * Half];
        // Tap by tap, so that whole vectors go at a time; downwards, so that every sample sums up in the order of the sound.
        for (var tap = Taps.Length - 1; tap >= 0; tap--)
        {
            var (gain, i) = (Taps[tap], 0);
            var target = limited.AsSpan(tap, sound.Length);
            for (; i <= sound.Length - Vector<double>.Count; i += Vector<double>.Count)
                (new Vector<double>(target[i..]) + gain * new Vector<double>(sound[i..])).CopyTo(target[i..]);
            for (; i < sound.Length; i++)
                target[i] += sound[i] * gain;
        }
        return limited;
    }

    private static double[] MakeTaps()
    {
        const double cutoff = 0.85;
        var taps = new double[2 * Half + 1];
        for (var i = 0; i < taps.Length; i++)
        {
            var t = i - Half;
            var sinc = t == 0 ? cutoff : Math.Sin(Math.PI * cutoff * t) / (Math.PI * t);
            taps[i] = sinc * Acoustics.KaiserWindow.At((double)t / (Half + 1), 9);
        }
        return taps;
    }
}
