namespace CaptureProc.Dsp.Tests.Contract;

/// <summary>Planar test signals, and the comparison that says where two of them part.</summary>
internal static class Signals
{
    public static float[][] Silence(int channels, int frames)
    {
        var signal = new float[channels][];
        for (var channel = 0; channel < channels; channel++)
            signal[channel] = new float[frames];
        return signal;
    }

    /// <summary>White, between −1 and 1.</summary>
    public static float[][] Noise(int channels, int frames, int seed)
    {
        var random = new Random(seed);
        var signal = Silence(channels, frames);
        foreach (var channel in signal)
            for (var frame = 0; frame < frames; frame++)
                channel[frame] = 2 * random.NextSingle() - 1;
        return signal;
    }

    public static double RmsDifference(float[][] expected, float[][] actual)
    {
        var (sum, count) = (0.0, 0);
        for (var channel = 0; channel < expected.Length; channel++)
            for (var frame = 0; frame < expected[channel].Length; frame++, count++)
                sum += Math.Pow((double)expected[channel][frame] - actual[channel][frame], 2);
        return Math.Sqrt(sum / count);
    }

    public static void Close(float[][] expected, float[][] actual, double tolerance, string what)
    {
        Assert.Equal(expected.Length, actual.Length);
        for (var channel = 0; channel < expected.Length; channel++)
        {
            Assert.Equal(expected[channel].Length, actual[channel].Length);
            for (var frame = 0; frame < expected[channel].Length; frame++)
            {
                var (e, a) = (expected[channel][frame], actual[channel][frame]);
                // The comparison is written so that NaN fails.
                if (!(Math.Abs((double)e - a) <= tolerance))
                    Assert.Fail($"{what}: channel {channel}, frame {frame}: expected {e:g9}, got {a:g9}, tolerance {tolerance:g3}");
            }
        }
    }
}
