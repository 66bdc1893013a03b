using CaptureProc.Dsp.Geometry;
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
            foreach (ref var sample in sound.AsSpan())
            {
                sample += here;
                (before, here) = (here, twice * here - before);
            }
        }
        return sound;
    }

    /// <summary>Adds one diffuse field to all capsules of a microphone.</summary>
    public static void Add(DiffuseNoise noise, ReadOnlySpan<Vector3D> looks, double pattern, double rms, double[][] channels, double sampleRateHz, SeededRandom chance)
    {
        var corners = new[] { (noise.LowHz, true), (noise.HighHz, false), (4 * noise.HighHz, false) };
        if (looks.Length == 1)
        {
            new SlowNoise(corners, noise.HighHz, sampleRateHz).Add(channels[0], rms, chance);
            return;
        }
        // Pressure of RMS 1 and a velocity of RMS 1/√3 along each axis, independent of each other: a diffuse field of first order.
        var scale = rms / Math.Sqrt(pattern * pattern + (1 - pattern) * (1 - pattern) / 3);
        for (var part = 0; part < 4; part++)
        {
            var stream = new double[channels[0].Length];
            new SlowNoise(corners, noise.HighHz, sampleRateHz).Add(stream, 1, chance);
            for (var c = 0; c < looks.Length; c++)
            {
                var along = part switch { 1 => looks[c].X, 2 => looks[c].Y, 3 => looks[c].Z, _ => 0 };
                var gain = scale * (part == 0 ? pattern : (1 - pattern) * along / Math.Sqrt(3));
                for (var i = 0; i < stream.Length; i++)
                    channels[c][i] += gain * stream[i];
            }
        }
    }

    /// <summary>Adds wind to one capsule.</summary>
    public static void AddWind(double rms, Span<double> channel, double sampleRateHz, SeededRandom chance)
    {
        var highestHz = chance.Uniform(40, 90);
        // Gusts every second or three, between a tenth and the whole of their strength; the mean square of 0.1 + 0.9·sin² is 0.404.
        var (turn, phase) = (Math.PI / (chance.Uniform(1, 3) * sampleRateHz), chance.Uniform(0, Math.PI));
        var stream = new double[channel.Length];
        new SlowNoise([(5, true), (highestHz, false), (highestHz, false)], highestHz, sampleRateHz).Add(stream, rms / Math.Sqrt(0.404), chance);
        const int block = 256;
        for (var at = 0; at < channel.Length; at += block)
        {
            var swell = Math.Sin(phase + turn * at);
            var gain = 0.1 + 0.9 * swell * swell;
            for (var i = at; i < Math.Min(at + block, channel.Length); i++)
                channel[i] += gain * stream[i];
        }
    }
}
