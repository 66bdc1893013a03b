using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Benchmarks;

/// <summary>Seeded input for all benchmarks.</summary>
internal static class Noise
{
    public static float[] Samples(int frames, int seed)
    {
        var random = new Random(seed);
        var samples = new float[frames];
        for (var n = 0; n < frames; n++)
            samples[n] = 2 * random.NextSingle() - 1;
        return samples;
    }

    public static float[][] Channels(int channels, int frames)
    {
        var planar = new float[channels][];
        for (var channel = 0; channel < channels; channel++)
            planar[channel] = Samples(frames, seed: channel + 1);
        return planar;
    }

    public static MatrixFilter Filter(int outputs, int inputs, int tapCount)
    {
        var filter = new MatrixFilter(outputs, inputs, tapCount, 0);
        for (var output = 0; output < outputs; output++)
            for (var input = 0; input < inputs; input++)
            {
                Samples(tapCount, seed: output * inputs + input + 100).CopyTo(filter.Taps(output, input));
                foreach (ref var tap in filter.Taps(output, input))
                    tap /= MathF.Sqrt(inputs * tapCount);
            }

        return filter;
    }
}
