using System.Diagnostics;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.PluginLoad;

/// <summary>What the windows of the plug-ins cost on the host's thread, on the X display that DISPLAY names.</summary>
/// <remarks>
/// Times are processor time of the thread that the windows live on, which other work on the machine stretches little; first openings are by
/// the clock, so of several the least is the one to read.
/// </remarks>
internal static class WindowCost
{
    private const double RateHz = 48000;
    private const int BlockFrames = 480;
    private const int Openings = 200;

    // An opening leaves some kilobytes of garbage, and the collector waits for a megabyte of it before it begins.
    private const int OpeningsBefore = 300;

    /// <summary>One class: its first opening in this process, idle, moving, and what 200 openings leave.</summary>
    public static string Measure(PluginBundle bundle, string className, double seconds)
    {
        using var effect = bundle.Create(bundle.Classes.Single(c => c.Name == className));
        effect.Start(RateHz, BlockFrames, ProcessMode.Realtime);
        var loop = new HostRunLoop();
        var (first, openedBySelf) = (0.0, 0.0);
        using (var window = Open(className))
        {
            var (before, own) = (Stopwatch.GetTimestamp(), RealTime.ThreadSeconds());
            using var view = HostedView.TryMake(effect)!;
            view.Attach(loop, window.Id);
            (first, openedBySelf) = (Stopwatch.GetElapsedTime(before).TotalMilliseconds, 1000 * (RealTime.ThreadSeconds() - own));
            // Meters come to rest.
            loop.RunFor(TimeSpan.FromSeconds(3));
            var idle = Share(loop, seconds, null);
            var moving = Share(loop, seconds, effect);
            view.Detach();
            var held = ProcessMemory.Read();
            for (var i = 0; i < OpeningsBefore + Openings; i++)
            {
                if (i == OpeningsBefore)
                    held = ProcessMemory.Read();
                view.Attach(loop, window.Id);
                loop.RunFor(TimeSpan.FromMilliseconds(1));
                view.Detach();
            }
            var grown = ProcessMemory.Read() - held;
            return $"| {className.Replace("CaptureProc ", "")} | {first:0.0} ms ({openedBySelf:0.0} ms) | {100 * idle:0.00} % | {100 * moving:0.00} % | {1024 * grown.DirtyMegabytes:0} KB |";
        }
    }

    /// <summary>Windows of all instances of a rack, one over the other, moved on a thread of their own until disposed of.</summary>
    public static IDisposable OpenAll(IReadOnlyList<HostedEffect> effects) => new Wall(effects);

    private static HostWindow Open(string title) =>
        HostWindow.TryOpen(1000, 700, title) ?? throw new InvalidOperationException("There is no X display; tests/CaptureProc.PluginLoad/windows starts one.");

    private static double Share(HostRunLoop loop, double seconds, HostedEffect? playing)
    {
        using var sound = playing == null ? null : new MovingSound(playing);
        var (start, own) = (Stopwatch.GetTimestamp(), RealTime.ThreadSeconds());
        loop.RunFor(TimeSpan.FromSeconds(seconds));
        return (RealTime.ThreadSeconds() - own) / Stopwatch.GetElapsedTime(start).TotalSeconds;
    }

    /// <summary>Noise whose level and place never rest, and parameters that are turned, from a thread of its own.</summary>
    private sealed class MovingSound : IDisposable
    {
        private readonly Thread thread;
        private volatile bool done;

        public MovingSound(HostedEffect effect)
        {
            var turned = effect.Parameters.Where(p => p.StepCount == 0 && (p.Flags & ParameterFlags.IsReadOnly) == 0).ToList();
            thread = new Thread(() =>
            {
                var random = new Random(1);
                for (var block = 0; !done; block++)
                {
                    for (var channel = 0; channel < effect.InputChannels; channel++)
                    {
                        var gain = 0.4f + 0.35f * MathF.Sin(block / (7f + 3 * channel));
                        foreach (ref var sample in effect.Input<float>(channel))
                            sample = gain * (random.NextSingle() - 0.5f);
                    }
                    foreach (var parameter in turned)
                        effect.SetNormalized(parameter.Id, 0.5 + 0.4 * Math.Sin(block / 20.0));
                    effect.Process(BlockFrames);
                    Thread.Sleep(10);
                }
            });
            thread.Start();
        }

        public void Dispose()
        {
            done = true;
            thread.Join();
        }
    }

    private sealed class Wall : IDisposable
    {
        private readonly Thread thread;
        private volatile bool done;

        public Wall(IReadOnlyList<HostedEffect> effects)
        {
            using var ready = new ManualResetEventSlim();
            thread = new Thread(() =>
            {
                var loop = new HostRunLoop();
                var windows = effects.Select((_, i) => HostWindow.TryOpen(1000, 700, $"{i}", 17 * i, 9 * i)!).ToList();
                var views = effects.Select(e => HostedView.TryMake(e)!).ToList();
                for (var i = 0; i < views.Count; i++)
                    views[i].Attach(loop, windows[i].Id);
                ready.Set();
                while (!done)
                    loop.RunFor(TimeSpan.FromMilliseconds(50));
                views.ForEach(view => view.Dispose());
                windows.ForEach(window => window.Dispose());
            });
            thread.Start();
            ready.Wait();
        }

        public void Dispose()
        {
            done = true;
            thread.Join();
        }
    }
}
