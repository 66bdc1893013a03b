using System.Diagnostics;
using System.Runtime;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.PluginLoad;

/// <summary>Many instances, played one after the other on one thread, as a host's single audio thread would.</summary>
internal sealed class Rack : IDisposable
{
    private const double RateHz = 48000;
    private const long OwnGarbageBytes = 240L << 20;

    private readonly List<HostedEffect> effects = [];
    private int blockFrames;

    /// <param name="bundle">The loaded library.</param>
    /// <param name="className">One class, or null for all of them in turn.</param>
    /// <param name="instances">How many.</param>
    public Rack(PluginBundle bundle, string? className, int instances)
    {
        for (var i = 0; i < instances; i++)
            effects.Add(bundle.Create(className == null ? bundle.Classes[i % bundle.Classes.Count] : bundle.Classes.Single(c => c.Name == className)));
        foreach (var effect in effects)
            PublishedDemo.Choose(effect);
    }

    public void Start(int frames)
    {
        blockFrames = frames;
        var random = new Random(1);
        foreach (var effect in effects)
        {
            effect.Start(RateHz, frames, ProcessMode.Realtime);
            for (var channel = 0; channel < effect.InputChannels; channel++)
                foreach (ref var sample in effect.Input<float>(channel))
                    sample = random.NextSingle() - 0.5f;
        }
    }

    /// <summary>Blocks at their proper pace, so that other threads get their share in between as they would on a stage.</summary>
    public LoadResult Measure(double seconds, Disturbance disturbance, PublishedDemo session)
    {
        var duration = blockFrames / RateHz;
        var times = new List<double>((int)(seconds / duration) + 1);
        using var disturber = disturbance == Disturbance.None ? null : new Disturber(effects, session);
        for (var i = 0; i < 50; i++)
            Block();
        // A collection of this program's own would stop this thread too, and be taken for one of the library's.
        GC.Collect();
        var isQuiet = GC.TryStartNoGCRegion(OwnGarbageBytes);
        var isRealTime = RealTime.Enter();
        var start = Stopwatch.GetTimestamp();
        var used = 0.0;
        for (var block = 0; block * duration < seconds; block++)
        {
            RealTime.Sleep(block * duration - Stopwatch.GetElapsedTime(start).TotalSeconds);
            var processorBefore = RealTime.ThreadSeconds();
            var wallBefore = Stopwatch.GetTimestamp();
            Block();
            times.Add(Stopwatch.GetElapsedTime(wallBefore).TotalSeconds);
            used += RealTime.ThreadSeconds() - processorBefore;
        }
        RealTime.Leave();
        if (!isQuiet || GCSettings.LatencyMode != GCLatencyMode.NoGCRegion)
            throw new InvalidOperationException("This program has collected garbage of its own while it measured; measure for a shorter time.");
        GC.EndNoGCRegion();
        times.Sort();
        return new LoadResult(
            used / (times.Count * duration), 1e6 * used / times.Count, times[(int)((times.Count - 1) * 0.9999)] / duration, times[^1] / duration, isRealTime);
    }

    /// <summary>The same with a window open for every instance, all of them moving.</summary>
    public LoadResult MeasureBesideWindows(double seconds, PublishedDemo session)
    {
        using var windows = WindowCost.OpenAll(effects);
        return Measure(seconds, Disturbance.None, session);
    }

    public void Dispose()
    {
        foreach (var effect in effects)
            effect.Dispose();
    }

    private void Block()
    {
        foreach (var effect in effects)
            effect.Process(blockFrames);
    }
}

/// <summary>What a run cost. Shares are of a block's duration.</summary>
internal sealed record LoadResult(double Load, double MeanMicroseconds, double HighShare, double WorstShare, bool IsRealTime);
