using CaptureProc.Plugins.Arrays;
using CaptureProc.Plugins.Tests.Native;
using CaptureProc.Session;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Hosting;

namespace CaptureProc.Plugins.Tests.Live;

/// <summary>What a host learns without asking, and what a window asks for.</summary>
public sealed class NewsTests : IDisposable
{
    private const RestartFlags News = RestartFlags.ParamTitlesChanged | RestartFlags.ParamValuesChanged;

    private readonly LivePlugins plugins = new();

    public void Dispose() => plugins.Dispose();

    [Fact]
    public void AHostIsToldWhenSessionsAndTrimSetsChange()
    {
        using var effect = plugins.Start("Array", 64);
        effect.Process(64);
        effect.TakeRestartFlags();
        var path = plugins.Publish(Session("Evening"));
        WaitForNews(effect);
        NativePlugins.Set(effect, "Session", "Evening");
        WaitForNews(effect);
        effect.TakeRestartFlags();
        SessionStore.Update(path, s => s.WithTrims("main", new TrimSet { Name = "by ear", Db = [0, 1, 0, 0] }, isActive: true, new HistoryEntry { Command = "level" }));
        WaitForNews(effect);
        Assert.True(effect.TryParse(NativePlugins.Parameter(effect, "First set").Id, "by ear", out _));
    }

    [Fact]
    public void AHostIsToldWhenTheSpotsOfASessionChange()
    {
        var path = plugins.Publish(Session("Evening"));
        using var effect = plugins.Start("Spot", 64, ("Session", "Evening"));
        WaitForNews(effect);
        effect.TakeRestartFlags();
        SessionStore.Update(path, s => s with { Spots = [new SpotEntry { Id = "horn", Channels = [6] }] });
        WaitForNews(effect);
        Assert.True(effect.TryParse(NativePlugins.Parameter(effect, "Spot").Id, "horn", out _));
    }

    [Fact]
    public unsafe void NewsWaitForTheThreadOfTheUserInterface()
    {
        using var effect = plugins.Start("Spot", 64);
        Poll(effect);
        effect.TakeRestartFlags();
        plugins.Publish(Session("Evening"));
        Wait(() => effect.TryParse(NativePlugins.Parameter(effect, "Session").Id, "Evening", out _));
        var meter = NativePlugins.Parameter(effect, "Level").Id;
        var elsewhere = new Thread(() =>
        {
            for (var i = 0; i < 20; i++)
            {
                effect.Controller->Table->SetParamNormalized(effect.Controller, meter, 0.5);
                Thread.Sleep(20);
            }
        });
        elsewhere.Start();
        elsewhere.Join();
        Assert.Equal(default(RestartFlags), effect.TakeRestartFlags());
        WaitForNews(effect);
    }

    [Fact]
    public void AWindowTakesAPresetByItsName()
    {
        using var effect = plugins.Start("Array", 64);
        var acts = (IArrayActs)plugins.Last;
        var preset = PresetLibrary.List()[^1];
        Assert.Contains(preset.Name, acts.Presets);
        Assert.True(acts.TakePreset(preset.Name));
        Assert.Equal("By hand", NativePlugins.Text(effect, "Array from"));
        Assert.Equal(preset.RadiusMm, effect.ToPlain(Id(effect, "Radius"), effect.GetNormalized(Id(effect, "Radius"))), 1e-6);
        Assert.False(acts.TakePreset("no such preset"));
        acts.KeepLineUp();
        Assert.Equal("Not kept: not every channel is measured", NativePlugins.Text(effect, "Line-up kept"));
        acts.WriteLineUpToSession();
        Assert.Equal("Not written: keep a line-up first", NativePlugins.Text(effect, "Line-up kept"));
    }

    [Theory]
    [InlineData(-99999)]
    [InlineData(-481)]
    [InlineData(24001)]
    public void ADelayOutOfRangeIsSaidAndNotApplied(double samples)
    {
        plugins.Publish(Session("Evening") with
        {
            Spots = [new SpotEntry { Id = "harp", Channels = [5], Polarity = 1, Delay = new SpotDelay { Samples = samples, Confidence = 0.99 } }],
        });
        using var effect = plugins.Start("Spot", 256, ("Session", "Evening"), ("Spot", "harp"));
        // Before the first block, and after it.
        Assert.Equal(("Out of range: no delay", "0.000", "In step"), Status(effect));
        var impulse = new float[2048];
        impulse[0] = 1;
        Assert.Equal(1f, Playing.Play(effect, [impulse], 256)[0][effect.LatencyFrames]);
        Assert.Equal(("Out of range: no delay", "0.000", "In step"), Status(effect));
    }

    [Theory]
    [InlineData(-480)]
    [InlineData(24000)]
    public void ADelayAtTheEndOfTheRangeIsPlayedAndMayBeHeldBackFurther(double samples)
    {
        plugins.Publish(Session("Evening") with
        {
            Spots = [new SpotEntry { Id = "harp", Channels = [5], Polarity = 1, Delay = new SpotDelay { Samples = samples, Confidence = 0.99 } }],
        });
        using var effect = plugins.Start("Spot", 256, ("Session", "Evening"), ("Spot", "harp"), ("Later by", "30"));
        Assert.Equal("Measured", Status(effect).Spot);
        var impulse = new float[32768];
        impulse[0] = 1;
        Assert.Equal(1f, Playing.Play(effect, [impulse], 256)[0][effect.LatencyFrames + (int)samples + 1440], 1e-6);
    }

    private static (string Spot, string DelayMs, string Session) Status(HostedEffect effect) =>
        (NativePlugins.Text(effect, "Spot status"), NativePlugins.Text(effect, "Delay in use"), NativePlugins.Text(effect, "Session status"));

    private static SessionDocument Session(string title) => new()
    {
        Title = title, SampleRate = 48000, Created = DateTimeOffset.UnixEpoch, Arrays = [Tetrahedron.Main],
    };

    private static uint Id(HostedEffect effect, string title) => NativePlugins.Parameter(effect, title).Id;

    // What a panel does all the time: it asks for texts.
    private static void Poll(HostedEffect effect) => NativePlugins.Text(effect, "Bypass");

    private static void WaitForNews(HostedEffect effect)
    {
        var told = default(RestartFlags);
        Wait(() =>
        {
            Poll(effect);
            told |= effect.TakeRestartFlags();
            return (told & News) == News;
        });
    }

    private static void Wait(Func<bool> condition)
    {
        for (var left = 1000; left > 0; left--, Thread.Sleep(20))
            if (condition())
                return;
        Assert.True(condition());
    }
}
