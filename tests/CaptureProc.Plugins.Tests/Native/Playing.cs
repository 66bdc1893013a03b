using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>Signals in and out of a hosted effect.</summary>
internal static class Playing
{
    public static float[][] Noise(int channels, int frames, int seed)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, channels).Select(_ => Enumerable.Range(0, frames).Select(_ => random.NextSingle() - 0.5f).ToArray())];
    }

    /// <summary>Plays planar input in blocks whose lengths come from a function; before each block something may be done.</summary>
    public static float[][] Play(HostedEffect effect, float[][] input, Func<int, int> blockFrames, Action<int>? before = null)
    {
        var frames = input[0].Length;
        var output = Enumerable.Range(0, effect.OutputChannels).Select(_ => new float[frames]).ToArray();
        for (var start = 0; start < frames;)
        {
            before?.Invoke(start);
            var block = Math.Min(blockFrames(start), frames - start);
            for (var channel = 0; channel < input.Length; channel++)
                input[channel].AsSpan(start, block).CopyTo(effect.Input<float>(channel));
            effect.Process(block);
            for (var channel = 0; channel < output.Length; channel++)
                effect.Output<float>(channel)[..block].CopyTo(output[channel].AsSpan(start));
            start += block;
        }
        return output;
    }

    public static float[][] Play(HostedEffect effect, float[][] input, int blockFrames) => Play(effect, input, _ => blockFrames);

    /// <summary>Largest difference of two signals in dB relative to full scale.</summary>
    public static double DifferenceDb(float[][] a, float[][] b, int lateFrames = 0)
    {
        var worst = 0.0;
        for (var channel = 0; channel < a.Length; channel++)
            for (var n = 0; n + lateFrames < a[channel].Length && n < b[channel].Length; n++)
                worst = Math.Max(worst, Math.Abs((double)a[channel][n + lateFrames] - b[channel][n]));
        return 20 * Math.Log10(worst);
    }
}
