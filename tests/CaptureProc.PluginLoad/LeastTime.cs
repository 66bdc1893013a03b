using System.Diagnostics;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.PluginLoad;

/// <summary>The least time that one block of one instance takes, over many: what is left when nothing else disturbs.</summary>
internal static class LeastTime
{
    private const double RateHz = 48000;
    private const double Seconds = 1.5;

    /// <summary>In nanoseconds a frame.</summary>
    public static double Measure(PluginBundle bundle, string className, int blockFrames)
    {
        using var effect = bundle.Create(bundle.Classes.Single(c => c.Name == className));
        effect.Start(RateHz, blockFrames, ProcessMode.Realtime);
        var random = new Random(1);
        for (var channel = 0; channel < effect.InputChannels; channel++)
            foreach (ref var sample in effect.Input<float>(channel))
                sample = random.NextSingle() - 0.5f;
        var least = long.MaxValue;
        for (var started = Stopwatch.GetTimestamp(); Stopwatch.GetElapsedTime(started).TotalSeconds < Seconds;)
        {
            var before = Stopwatch.GetTimestamp();
            effect.Process(blockFrames);
            least = Math.Min(least, Stopwatch.GetTimestamp() - before);
        }
        return 1e9 * least / Stopwatch.Frequency / blockFrames;
    }
}
