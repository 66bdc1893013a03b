using System.Diagnostics;
using CaptureProc.Plugins.Tests.Arrays;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Native;

/// <summary>An engineer at a host's generic panel, lining up with the array plug-in.</summary>
internal static class LineUpHost
{
    private const int MaxBlockFrames = 1024;

    /// <summary>An instance that listens, with parameters set by title and text.</summary>
    public static HostedEffect Listening(NativePlugins plugins, params (string Title, string Value)[] settings) =>
        plugins.Start("CaptureProc Array", MaxBlockFrames, [.. settings, ("Line-up", "On")]);

    /// <summary>Feeds a recording, then silence, until the worker has read the last of it.</summary>
    public static void Feed(HostedEffect effect, float[][] recording, Func<int, int>? blockFrames = null)
    {
        Playing.Play(effect, recording, blockFrames ?? (_ => MaxBlockFrames));
        // Two looks of the worker are 200 ms apart at most when it has nothing else to do: the last hop was heard half a second ago.
        var values = Values(effect);
        for (var unchanged = 0; unchanged < 25;)
        {
            Idle(effect);
            var now = Values(effect);
            unchanged = now.SequenceEqual(values) ? unchanged + 1 : 0;
            values = now;
        }
    }

    /// <summary>The host goes on playing nothing until something has come about.</summary>
    public static void WaitFor(HostedEffect effect, Func<bool> condition)
    {
        var waited = Stopwatch.StartNew();
        while (!condition() && waited.Elapsed < TimeSpan.FromSeconds(20))
            Idle(effect);
        Assert.True(condition());
    }

    public static double Plain(HostedEffect effect, string title)
    {
        var id = NativePlugins.Parameter(effect, title).Id;
        return effect.ToPlain(id, effect.GetNormalized(id));
    }

    public static double[] Differences(HostedEffect effect) => Four(effect, "Line-up difference");

    public static double[] Uncertainties(HostedEffect effect) => Four(effect, "Line-up uncertainty");

    public static double[] KeptTrims(HostedEffect effect) => Four(effect, "Kept trim");

    public static string[] Verdicts(HostedEffect effect) => [.. Enumerable.Range(1, 4).Select(c => NativePlugins.Text(effect, $"Line-up verdict {c}"))];

    /// <summary>One touch, as a button of the panel gives it.</summary>
    public static string Touch(HostedEffect effect, string title)
    {
        NativePlugins.Set(effect, title, "On");
        Idle(effect);
        Assert.Equal("Off", NativePlugins.Text(effect, title));
        return NativePlugins.Text(effect, "Line-up kept");
    }

    private static double[] Four(HostedEffect effect, string title) => [.. Enumerable.Range(1, 4).Select(c => Plain(effect, $"{title} {c}"))];

    private static double[] Values(HostedEffect effect) => [.. Differences(effect), .. Uncertainties(effect), Plain(effect, "Line-up state"), Plain(effect, "Line-up feed")];

    private static void Idle(HostedEffect effect)
    {
        for (var channel = 0; channel < 4; channel++)
            effect.Input<float>(channel).Clear();
        effect.Process(256);
        Thread.Sleep(20);
    }
}
