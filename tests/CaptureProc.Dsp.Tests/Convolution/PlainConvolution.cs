using CaptureProc.Dsp.Convolution;

namespace CaptureProc.Dsp.Tests.Convolution;

/// <summary>The definition of convolution with a filter matrix, in double; what the fast ones are held against.</summary>
internal static class PlainConvolution
{
    public static float[][] Run(MatrixFilter filter, float[][] input)
    {
        var frames = input[0].Length;
        var output = new float[filter.Outputs][];
        for (var o = 0; o < filter.Outputs; o++)
        {
            output[o] = new float[frames];
            for (var n = 0; n < frames; n++)
            {
                var sum = 0.0;
                for (var i = 0; i < filter.Inputs; i++)
                {
                    var taps = filter.Taps(o, i);
                    for (var k = 0; k < taps.Length && k <= n; k++)
                        sum += (double)taps[k] * input[i][n - k];
                }

                output[o][n] = (float)sum;
            }
        }

        return output;
    }

    /// <summary>As below, with a second output that mirrors the first: some inputs reach it alike, the others inverted.</summary>
    public static MatrixFilter MirroredFilter(int inputs, int tapCount, int seed)
    {
        var filter = RandomFilter(2, inputs, tapCount, seed);
        for (var i = 0; i < inputs; i++)
            for (var k = 0; k < tapCount; k++)
                filter.Taps(1, i)[k] = i % 3 == 1 ? -filter.Taps(0, i)[k] : filter.Taps(0, i)[k];
        return filter;
    }

    /// <summary>Noise of the length, shaped like a response that rings out, so that a filter has about unit gain.</summary>
    public static MatrixFilter RandomFilter(int outputs, int inputs, int tapCount, int seed, int latencyFrames = 0)
    {
        var random = new Random(seed);
        var filter = new MatrixFilter(outputs, inputs, tapCount, latencyFrames);
        for (var o = 0; o < outputs; o++)
            for (var i = 0; i < inputs; i++)
                for (var k = 0; k < tapCount; k++)
                    filter.Taps(o, i)[k] = (float)((2 * random.NextDouble() - 1) / Math.Sqrt(inputs * tapCount));
        return filter;
    }
}
