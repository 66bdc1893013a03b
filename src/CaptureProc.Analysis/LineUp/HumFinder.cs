using System.Numerics;

namespace CaptureProc.Analysis.LineUp;

/// <summary>A mains tone that was found in a channel.</summary>
/// <param name="FundamentalHz">50 or 60.</param>
/// <param name="LevelDbfs">All its harmonics together; a full-scale sine reads 0.</param>
public readonly record struct Hum(double FundamentalHz, double LevelDbfs);

/// <summary>Finds mains hum under noise.</summary>
/// <remarks>
/// A steady tone gathers in one line of a long transform while noise spreads, so lines at the multiples of 50 and 60 Hz are held
/// against the lines beside them. Where all channels hear one noise, it is first taken out: each channel, brought to the
/// reference's gain, is compared with the middle one of all, and what is left is its own. That finds hum 60 dB below the noise; on
/// a channel that was heard alone it has to be within some 15 dB of it.
/// </remarks>
internal static class HumFinder
{
    private const int Harmonics = 6;

    // Power over that of the lines beside it. Noise exceeds 20 times the mean of 24 lines with a probability of 5e-7.
    private const double LineOverNoise = 20;

    // Below it nobody hears it under players; quieter hum is left in peace.
    private const double FaintestDbfs = -90;

    // The mains wander by less; finer than the line is wide, so that none falls between.
    private const double ReachHz = 0.2;

    /// <summary>Hum in one stretch of one or several channels; null where there is none.</summary>
    /// <param name="channels">The low ends; those of channels that hear one noise together, or one channel.</param>
    /// <param name="gains">Gain of each channel over the reference.</param>
    /// <param name="rateHz">Their rate.</param>
    public static Hum?[] Find(IReadOnlyList<float[]> channels, IReadOnlyList<double> gains, double rateHz)
    {
        var found = new Hum?[channels.Count];
        var frames = channels[0].Length;
        // Below two seconds a line is wider than the mains and their neighbours lie apart.
        if (frames < 2 * rateHz)
            return found;
        foreach (var fundamental in new[] { 50.0, 60.0 })
        {
            var power = new double[channels.Count];
            for (var harmonic = 1; harmonic <= Harmonics; harmonic++)
                AddLine(channels, gains, rateHz, fundamental, harmonic, power);
            for (var c = 0; c < channels.Count; c++)
            {
                var levelDbfs = 10 * Math.Log10(2 * power[c]);
                if (levelDbfs > FaintestDbfs && !(levelDbfs <= found[c]?.LevelDbfs))
                    found[c] = new Hum(fundamental, levelDbfs);
            }
        }
        return found;
    }

    private static void AddLine(IReadOnlyList<float[]> channels, IReadOnlyList<double> gains, double rateHz, double fundamentalHz, int harmonic, double[] power)
    {
        var lineHz = rateHz / channels[0].Length;
        var hz = fundamentalHz * harmonic;
        if (hz > 340)
            return;
        var noise = new double[channels.Count];
        var beside = 0;
        for (var k = 0; k < 12; k++)
        {
            // A Hann line reaches two lines to either side, and the mains wander: begin outside both, and stay near.
            var away = ReachHz * harmonic + (3 + k * 1.5) * lineHz;
            foreach (var side in new[] { hz - away, hz + away })
            {
                var own = OwnPower(channels, gains, rateHz, side);
                for (var c = 0; c < own.Length; c++)
                    noise[c] += own[c];
                beside++;
            }
        }
        var strongest = new double[channels.Count];
        for (var offset = -ReachHz * harmonic; offset <= ReachHz * harmonic; offset += 0.5 * lineHz)
        {
            var own = OwnPower(channels, gains, rateHz, hz + offset);
            for (var c = 0; c < own.Length; c++)
                strongest[c] = Math.Max(strongest[c], own[c]);
        }
        for (var c = 0; c < power.Length; c++)
            if (strongest[c] > LineOverNoise * noise[c] / beside)
                power[c] += strongest[c];
    }

    /// <summary>Mean square of what each channel has for itself at one frequency.</summary>
    private static double[] OwnPower(IReadOnlyList<float[]> channels, IReadOnlyList<double> gains, double rateHz, double hz)
    {
        var lines = channels.Select((c, i) => Line(c, hz / rateHz) / gains[i]).ToArray();
        var common = lines.Length < 3 ? Complex.Zero : new Complex(Median(lines.Select(l => l.Real)), Median(lines.Select(l => l.Imaginary)));
        return [.. lines.Select((line, i) => Square((line - common) * gains[i]) / 2)];
    }

    // Amplitude of a sine of that frequency under a Hann window.
    private static Complex Line(float[] samples, double perSample)
    {
        var turn = Complex.FromPolarCoordinates(1, -2 * Math.PI * perSample);
        var slow = Complex.FromPolarCoordinates(1, 2 * Math.PI / samples.Length);
        var (phase, window, sum) = (Complex.One, Complex.One, Complex.Zero);
        foreach (var sample in samples)
        {
            sum += sample * (0.5 - 0.5 * window.Real) * phase;
            phase *= turn;
            window *= slow;
        }
        return 4 * sum / samples.Length;
    }

    private static double Square(Complex z) => z.Real * z.Real + z.Imaginary * z.Imaginary;

    private static double Median(IEnumerable<double> values)
    {
        var sorted = values.Order().ToArray();
        return sorted.Length % 2 == 1 ? sorted[sorted.Length / 2] : 0.5 * (sorted[sorted.Length / 2 - 1] + sorted[sorted.Length / 2]);
    }
}
