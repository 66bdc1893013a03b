using System.Globalization;

namespace CaptureProc.Plugins.Tests.Native;

[Collection(NativePlugins.Collection)]
public sealed class LifeCycleTests(NativePlugins plugins)
{
    [Fact]
    public void AThousandLivesLeaveNothingBehind()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "memory and threads are read from /proc");
        // The first ones pay for what stays: code pages, the heap's working size, tables.
        Live(300);
        var (memory, threads) = (ResidentKilobytes(), Threads());
        Live(1000);
        // An instance takes some 300 kilobytes while it lives; one in twenty forgotten would show as 15 megabytes. What the last one has left
        // is given back by the worker when it sees that nobody is there.
        WaitUntilItIs(() => ResidentKilobytes() - memory <= 8192);
        Assert.InRange(ResidentKilobytes() - memory, long.MinValue, 8192);
        Assert.InRange(Threads(), 0, threads + 2);
    }

    [Fact]
    public void FiftyInstancesKeepLessThanAMegabyteOfLinkedObjects()
    {
        // What a collection has to walk through, and so how long it stops the audio thread, is this and not the arrays of samples.
        var effects = Enumerable.Range(0, 50).Select(i => plugins.Start(NativePlugins.ClassNames[i % NativePlugins.ClassNames.Count], 512)).ToList();
        try
        {
            effects.ForEach(effect => effect.Process(512));
            var (linked, flat) = plugins.Heap();
            TestContext.Current.SendDiagnosticMessage("50 instances: {0} bytes in linked objects, {1} in flat arrays", linked, flat);
            Assert.InRange(linked, 1, 1 << 20);
        }
        finally
        {
            effects.ForEach(effect => effect.Dispose());
        }
    }

    [Fact]
    public void WhatLongDelaysTakeIsGivenBackWithTheLastInstance()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "memory is read from /proc");
        // The first ones pay for what stays.
        LiveTogether(5);
        WaitUntilItIs(() => Threads() > 0);
        var before = ResidentKilobytes();
        var during = LiveTogether(100);
        // Four channels of a second: a megabyte and a half an instance.
        Assert.InRange(during - before, 80 << 10, 1000 << 10);
        WaitUntilItIs(() => ResidentKilobytes() - before < 30 << 10);
        Assert.InRange(ResidentKilobytes() - before, long.MinValue, 30 << 10);
    }

    private long LiveTogether(int count)
    {
        var effects = Enumerable.Range(0, count).Select(_ => plugins.Start("CaptureProc Spot 4", 512)).ToList();
        effects.ForEach(effect => effect.Process(512));
        var resident = ResidentKilobytes();
        effects.ForEach(effect => effect.Dispose());
        return resident;
    }

    // The worker gives memory back when it sees that nobody is left.
    private static void WaitUntilItIs(Func<bool> condition)
    {
        for (var left = 200; left > 0 && !condition(); left--)
            Thread.Sleep(100);
    }

    private void Live(int count)
    {
        for (var i = 0; i < count; i++)
        {
            using var effect = plugins.Start(NativePlugins.ClassNames[i % NativePlugins.ClassNames.Count], 64);
            effect.SetState(effect.GetState());
            effect.Process(64);
        }
    }

    private static long ResidentKilobytes()
    {
        // What this process has allocated on its own managed heap in between is not the library's.
        GC.Collect();
        GC.WaitForPendingFinalizers();
        GC.Collect();
        var line = File.ReadLines("/proc/self/status").First(l => l.StartsWith("VmRSS:", StringComparison.Ordinal));
        return long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[1], CultureInfo.InvariantCulture);
    }

    private static int Threads() => Directory.GetDirectories("/proc/self/task").Length;
}
