using CaptureProc.Dsp.Geometry;
using CaptureProc.Simulation.Microphones;
using CaptureProc.Simulation.Signals;

namespace CaptureProc.Simulation.Disturbances;

/// <summary>Makes the sounds of <see cref="Background"/>; all have RMS 1 but for chance.</summary>
internal static class BackgroundSounds
{
    /// <summary>The hum that goes into all channels.</summary>
    public static double[] Make(Hum hum, int frames, double sampleRateHz, SeededRandom chance)
    {
        var sound = new double[frames];
        var power = 0.0;
        foreach (var db in hum.HarmonicDb)
            power += 0.5 * Math.Pow(10, db / 10);
        for (var h = 0; h < hum.HarmonicDb.Count; h++)
        {
            var size = Math.Pow(10, hum.HarmonicDb[h] / 20) / Math.Sqrt(power);
            var step = 2 * Math.PI * (h + 1) * hum.MainsHz / sampleRateHz;
            // y[n] = 2·cos(step)·y[n−1] − y[n−2]: exact enough over minutes in double.
            var phase = chance.Uniform(0, 2 * Math.PI);
            var (before, here, twice) = (size * Math.Cos(phase - step), size * Math.Cos(phase), 2 * Math.Cos(step));
            for (var i = 0; i < frames; i++)
            {
                sound[i] += here;
                (before, here) = (here, twice * here - before);
            }
        }
        return sound;
    }

    /// <summary>Adds one diffuse field to all capsules of a microphone.</summary>
    public static void Add(DiffuseNoise noise, ReadOnlySpan<Vector3D> looks, double pattern, double rms, double[][] channels, double sampleRateHz, SeededRandom chance)
    {
        if (looks.Length == 1)
        {
            AddCoupled(noise, rms, channels[0], sampleRateHz, chance);
            return;
        }
        // Pressure of RMS 1 and a velocity of RMS 1/√3 along each axis, independent of each other: a diffuse field of first order.
        var scale = 1 / Math.Sqrt(pattern * pattern + (1 - pattern) * (1 - pattern) / 3);
        for (var part = 0; part < 4; part++)
        {
            var stream = new double[channels[0].Length];
            AddCoupled(noise, 1, stream, sampleRateHz, chance);
            for (var c = 0; c < looks.Length; c++)
            {
                var along = part switch { 1 => looks[c].X, 2 => looks[c].Y, 3 => looks[c].Z, _ => 0 };
                var gain = rms * scale * (part == 0 ? pattern : (1 - pattern) * along / Math.Sqrt(3));
                for (var i = 0; i < stream.Length; i++)
                    channels[c][i] += gain * stream[i];
            }
        }
    }

    /// <summary>Adds wind to one capsule.</summary>
    public static void AddWind(double rms, Span<double> channel, double sampleRateHz, SeededRandom chance)
    {
        var low = Biquad.RollOff(chance.Uniform(40, 90), Math.Sqrt(0.5), sampleRateHz);
        var size = 1 / WhiteGain(low, sampleRateHz);
        // Gusts every second or three; sin² between 0.1 and 1.
        var (turn, phase) = (2 * Math.PI / (chance.Uniform(1, 3) * sampleRateHz), chance.Uniform(0, Math.PI));
        Span<double> block = stackalloc double[256];
        for (var at = 0; at < channel.Length; at += block.Length)
        {
            var part = block[..Math.Min(block.Length, channel.Length - at)];
            foreach (ref var sample in part)
                sample = size * QuickGaussian.Next(chance);
            low.Process(part);
            var swell = Math.Sin(phase + 0.5 * turn * at);
            var gain = rms * (0.1 + 0.9 * swell * swell) / 0.65;
            for (var i = 0; i < part.Length; i++)
                channel[at + i] += gain * part[i];
        }
    }

    private static void AddCoupled(DiffuseNoise noise, double rms, Span<double> channel, double sampleRateHz, SeededRandom chance)
    {
        var low = Biquad.FirstOrderLowCut(noise.LowHz, sampleRateHz);
        var (high, higher) = (Biquad.FirstOrderRollOff(noise.HighHz, sampleRateHz), Biquad.FirstOrderRollOff(4 * noise.HighHz, sampleRateHz));
        var power = 0.0;
        const int bins = 4000;
        for (var i = 0; i < bins; i++)
        {
            // Logarithmic steps from 1 Hz to Nyquist, each as wide as it is.
            var hz = Math.Pow(sampleRateHz / 2, (i + 0.5) / bins);
            power += (low.At(hz, sampleRateHz) * high.At(hz, sampleRateHz) * higher.At(hz, sampleRateHz)).Magnitude.Squared() * hz * Math.Log(sampleRateHz / 2) / bins;
        }
        var size = rms / Math.Sqrt(power / (sampleRateHz / 2));
        Span<double> block = stackalloc double[256];
        for (var at = 0; at < channel.Length; at += block.Length)
        {
            var part = block[..Math.Min(block.Length, channel.Length - at)];
            foreach (ref var sample in part)
                sample = size * QuickGaussian.Next(chance);
            low.Process(part);
            high.Process(part);
            higher.Process(part);
            for (var i = 0; i < part.Length; i++)
                channel[at + i] += part[i];
        }
    }

    /// <summary>RMS that a filter leaves of white noise of RMS 1.</summary>
    private static double WhiteGain(Biquad filter, double sampleRateHz)
    {
        var power = 0.0;
        const int bins = 8192;
        for (var i = 0; i < bins; i++)
            power += filter.At((i + 0.5) / bins * sampleRateHz / 2, sampleRateHz).Magnitude.Squared();
        return Math.Sqrt(power / bins);
    }

    private static double Squared(this double x) => x * x;
}
