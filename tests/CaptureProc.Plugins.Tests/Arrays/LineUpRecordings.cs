using CaptureProc.Dsp.Geometry;
using CaptureProc.Rendering.Signals;
using CaptureProc.Simulation;
using CaptureProc.Simulation.Acoustics;
using CaptureProc.Simulation.Rendering;

namespace CaptureProc.Plugins.Tests.Arrays;

/// <summary>What an engineer feeds into four inputs, at known gains, and what should never be taken for it.</summary>
/// <remarks>Each ends with a second of silence, so that whoever listens longer than the recording lasts hears nothing new.</remarks>
internal static class LineUpRecordings
{
    public const int RateHz = 48000;

    // The early third of the decay is room enough, and convolved in a second.
    private const double ResponseSeconds = 0.2;

    public static readonly double[] GainsDb = [0, 0.12, -0.25, 0.04];

    /// <summary>One noise on all channels, each with the noise of its own amplifier.</summary>
    public static float[][] AtOnce(double seconds)
    {
        var noise = Pink(seconds, 1);
        return Channels(seconds, (channel, n) => n < noise.Length ? Gain(channel) * noise[n] : 0);
    }

    /// <summary>The noise moved from one input to the next; it repeats, or every channel hears another stretch of it.</summary>
    public static float[][] InTurn(double secondsEach, bool repeats)
    {
        var pause = RateHz / 2;
        var turn = (int)(secondsEach * RateHz);
        var noises = Enumerable.Range(0, 4).Select(c => Pink(secondsEach, repeats ? 2u : 10u + (uint)c)).ToArray();
        return Channels(4 * (secondsEach + 0.5), (channel, n) =>
        {
            var at = n - pause / 2 - channel * (turn + pause);
            return at >= 0 && at < turn ? Gain(channel) * noises[channel][at] : 0;
        });
    }

    /// <summary>A loudspeaker in a room of 0.6 s, heard by the four capsules of a tetrahedron of 14.7 mm.</summary>
    public static float[][] Room(double seconds)
    {
        var noise = Pink(seconds, 3);
        var room = new Room(new Vector3D(11, 8, 5), 0.6);
        var centre = new Vector3D(4, 4.5, 2.2);
        var images = ImageField.At(room, new Vector3D(6.5, 3, 1.5), Radiation.Even, centre, ResponseSeconds, new SeededRandom(4));
        var heard = new double[4][];
        for (var c = 0; c < 4; c++)
        {
            var look = 1 / Math.Sqrt(3) * new Vector3D(c is 0 or 1 ? 1 : -1, c is 0 or 2 ? 1 : -1, c is 0 or 3 ? 1 : -1);
            var response = new double[(int)(ResponseSeconds * RateHz)];
            new Capsule(centre + 0.0147 * look, look, 0.5).Respond(images, room, RateHz, response);
            heard[c] = new double[noise.Length + response.Length];
            Convolution.Add(noise, response, heard[c], 0);
        }
        var scale = 0.25 / heard.Max(channel => channel.Max(Math.Abs));
        return Channels(seconds, (channel, n) => n < heard[channel].Length ? scale * heard[channel][n] : 0);
    }

    /// <summary>Four noises that have nothing to do with one another.</summary>
    public static float[][] SeparateNoises(double seconds)
    {
        var noises = Enumerable.Range(0, 4).Select(c => Pink(seconds, 20u + (uint)c)).ToArray();
        return Channels(seconds, (channel, n) => n < noises[channel].Length ? noises[channel][n] : 0);
    }

    private static double Gain(int channel) => Math.Pow(10, GainsDb[channel] / 20);

    private static double[] Pink(double seconds, uint seed)
    {
        var frames = (int)(seconds * RateHz);
        var samples = new double[frames];
        new PinkNoise(RateHz, frames, 1, -12, null, seed).Render(0, 0, samples);
        return samples;
    }

    private static float[][] Channels(double seconds, Func<int, int, double> sample)
    {
        var frames = (int)((seconds + 1) * RateHz);
        var channels = new float[4][];
        for (var channel = 0; channel < 4; channel++)
        {
            var chance = new SeededRandom(100 + (ulong)channel);
            channels[channel] = new float[frames];
            for (var n = 0; n < frames - RateHz; n++)
                channels[channel][n] = (float)(sample(channel, n) + 1e-5 * chance.Gaussian());
        }
        return channels;
    }
}
