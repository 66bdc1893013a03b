using CaptureProc.Testing;
using CaptureProc.Vst3.Hosting;

[assembly: AssemblyFixture(typeof(VirtualScreen))]

namespace CaptureProc.Vst3.Tests.Views;

/// <summary>A view in a window of a real X server, moved by the event loop of our own host.</summary>
[Collection("windows")]
public sealed class WindowTests
{
    private static readonly TimeSpan Soon = TimeSpan.FromSeconds(10);

    [Fact]
    public void WhatTheViewDrawsIsWhatTheServerShows()
    {
        using var stage = new Stage();
        stage.Run(() => stage.Shows(0x204060));
        Assert.All(stage.Window.Photograph(), pixel => Assert.Equal(0x204060u, pixel));
        stage.View.Colour = 0xC08040;
        stage.Run(() => stage.Shows(0xC08040));
        Assert.All(stage.Window.Photograph(), pixel => Assert.Equal(0xC08040u, pixel));
    }

    [Fact]
    public void MouseWheelAndKeysReachTheView()
    {
        using var stage = new Stage();
        stage.Run(() => stage.Shows(0x204060));
        stage.Window.SendPointer(30, 40);
        stage.Window.SendPointer(31, 42, 1);
        stage.Window.SendPointer(35, 47, 1, isDown: false, state: 1);
        stage.Window.SendPointer(35, 47, 4);
        stage.Window.SendPointer(35, 47, 5);
        // Key codes of a usual keyboard: 38 is a, 23 the tabulator, 113 the left arrow.
        stage.Window.SendKey(38);
        stage.Window.SendKey(38, state: 1);
        stage.Window.SendKey(23);
        stage.Window.SendKey(113);
        stage.Run(() => stage.View.Keys.Count == 4);
        Assert.Equal(["Move 30 40 0", "Press 31 42 1", "Release 35 47 1"], stage.View.Pointer.Select(p => $"{p.Action} {p.X} {p.Y} {p.Button}"));
        Assert.Equal(Vst3.Views.ViewModifiers.Shift, stage.View.Pointer[2].Modifiers);
        Assert.Equal([1, -1], stage.View.Wheel);
        Assert.Equal(["Character a", "Character A", "Tab \0", "Left \0"], stage.View.Keys.Select(k => $"{k.Key} {k.Character}"));
    }

    [Fact]
    public void AnySizeIsTakenAndTheViewIsToldOfIt()
    {
        using var stage = new Stage();
        stage.Run(() => stage.Shows(0x204060));
        foreach (var (width, height) in ((int, int)[])[(800, 400), (333, 77), (1, 1), (640, 900)])
        {
            stage.Window.Resize(width, height);
            stage.Hosted.Resize(width, height);
            Assert.Equal((width, height), stage.View.SurfaceSize);
            stage.Run(() => stage.Shows(0x204060));
        }
    }

    [Fact]
    public void ASizeIsHeldToTheShapeOfTheView()
    {
        using var stage = new Stage();
        Assert.Equal((400, 200), stage.Hosted.Constrain(410, 200));
        Assert.Equal((300, 150), stage.Hosted.Constrain(10, 10));
        Assert.Equal((800, 400), stage.Hosted.Constrain(5000, 4000));
    }

    [Fact]
    public void TheHostsScaleMultipliesThatOfTheUser()
    {
        using var stage = new Stage();
        PlainViewEffect.Last.Scale = 1.5;
        Assert.Equal((600, 300), stage.Hosted.Size);
        (int, int) asked = default;
        stage.Loop.OnResize = (width, height) =>
        {
            asked = (width, height);
            return true;
        };
        Assert.True(stage.Hosted.SetContentScale(2));
        Assert.Equal((1200, 600), asked);
        Assert.Equal((1200, 600), stage.View.SurfaceSize);
    }

    [Fact]
    public void NothingIsDrawnWhileNothingChangesNorWhileNobodySeesIt()
    {
        using var stage = new Stage();
        stage.Run(() => stage.Shows(0x204060));
        stage.Loop.RunFor(TimeSpan.FromMilliseconds(400));
        Assert.Equal(1, stage.View.Frames);

        // As a host that only hides its window: ours is still mapped, and yet nobody can see it.
        stage.Window.Hide();
        stage.Loop.RunFor(TimeSpan.FromMilliseconds(700));
        var calls = stage.View.DrawCalls;
        stage.Loop.RunFor(TimeSpan.FromMilliseconds(300));
        Assert.Equal(calls, stage.View.DrawCalls);
        stage.View.Colour = 0x808080;
        stage.Window.Show();
        stage.Run(() => stage.Shows(0x808080));
    }

    [Fact]
    public void AParentThatIsDestroyedFirstHarmsNothing()
    {
        using var stage = new Stage();
        stage.Run(() => stage.Shows(0x204060));
        stage.Window.Destroy();
        stage.View.Colour = 1;
        stage.Loop.RunFor(TimeSpan.FromMilliseconds(200));
        stage.Hosted.Resize(500, 250);
        stage.Loop.RunFor(TimeSpan.FromMilliseconds(100));
        stage.Hosted.Detach();
        Assert.Equal(0, stage.Loop.RegisteredCount);
    }

    [Fact]
    public void TwoHundredOpeningsLeaveNothingBehind()
    {
        using var stage = new Stage();
        stage.Run(() => stage.Shows(0x204060));
        Turn(20);
        var (files, memory, alive) = (Directory.GetFiles("/proc/self/fd").Length, SharedSegments(), PlainView.Alive);
        Turn(200);
        Assert.Equal(alive, PlainView.Alive);
        // The process has other files open, which may close meanwhile; a window that kept one would leave two hundred.
        Assert.InRange(Directory.GetFiles("/proc/self/fd").Length, 0, files + 20);
        Assert.Equal(memory, SharedSegments());

        void Turn(int times)
        {
            for (var i = 0; i < times; i++)
            {
                stage.Hosted.Detach();
                Assert.Equal(0, stage.Loop.RegisteredCount);
                Assert.True(stage.Hosted.Attach(stage.Loop, stage.Window.Id));
                stage.Loop.RunFor(TimeSpan.FromMilliseconds(1));
            }
        }

        // What of this process is mapped from System V shared memory.
        static int SharedSegments() => File.ReadLines("/proc/self/maps").Count(line => line.Contains("/SYSV", StringComparison.Ordinal));
    }

    [Fact]
    public void FiveWindowsAreFiveWindows()
    {
        var stages = Enumerable.Range(0, 5).Select(i => new Stage(210 * i)).ToList();
        try
        {
            for (var i = 0; i < 5; i++)
                stages[i].View.Colour = (uint)(0x101010 * (i + 1));
            for (var i = 0; i < 5; i++)
                stages[i].Run(() => stages[i].Shows((uint)(0x101010 * (i + 1))));
        }
        finally
        {
            stages.ForEach(stage => stage.Dispose());
        }
    }

    [Fact]
    public void AViewThatOutlivesItsEffectKeepsItAlive()
    {
        var effect = InProcess.Create(PlainViewEffect.Class);
        var made = PlainViewEffect.Last;
        var view = HostedView.TryMake(effect)!;
        effect.Dispose();
        Assert.False(made.IsClosed);
        Assert.Equal((400, 200), view.Size);
        view.Dispose();
        Assert.True(made.IsClosed);
        Assert.Equal(1, made.ViewsDisposed);
    }

    [Fact]
    public void WithoutAFrameOrForAnotherPlatformTheViewRefuses()
    {
        using var effect = InProcess.Create(PlainViewEffect.Class);
        using var view = HostedView.TryMake(effect)!;
        unsafe
        {
            fixed (byte* here = "X11EmbedWindowID"u8, elsewhere = "HIView"u8)
            {
                Assert.Equal(0, view.View->Table->IsPlatformTypeSupported(view.View, here));
                Assert.NotEqual(0, view.View->Table->IsPlatformTypeSupported(view.View, elsewhere));
                Assert.NotEqual(0, view.View->Table->Attached(view.View, (void*)1, here));
                Assert.NotEqual(0, view.View->Table->Attached(view.View, null, here));
            }
        }
    }

    [Fact]
    public void AnEditInTheWindowReachesTheEffectAndTheHost()
    {
        using var effect = InProcess.Create(PlainViewEffect.Class);
        var host = PlainViewEffect.Last.Host;
        host.BeginEdit(0);
        host.PerformEdit(0, 12);
        host.EndEdit(0);
        Assert.Equal(12, host.Plain(0), 1e-9);
        Assert.Equal([0], PlainViewEffect.Last.Edited);
        Assert.Equal(0.75, effect.GetNormalized(1), 1e-9);
    }

    /// <summary>An effect with its view attached to a window.</summary>
    private sealed class Stage : IDisposable
    {
        private readonly HostedEffect effect = InProcess.Create(PlainViewEffect.Class);

        public Stage(int y = 0)
        {
            View = null!;
            Hosted = HostedView.TryMake(effect)!;
            View = PlainViewEffect.Last.View;
            var (width, height) = Hosted.Size;
            Window = HostWindow.TryOpen(width, height, "Viewed", 0, y)!;
            Assert.True(Hosted.Attach(Loop, Window.Id));
        }

        public HostRunLoop Loop { get; } = new();

        public HostWindow Window { get; }

        public HostedView Hosted { get; }

        public PlainView View { get; }

        public bool Shows(uint colour) => Window.Photograph() is { Length: > 0 } picture && picture[0] == colour && picture[^1] == colour;

        public void Run(Func<bool> isDone)
        {
            Loop.RunFor(Soon, isDone);
            Assert.True(isDone());
        }

        public void Dispose()
        {
            Hosted.Dispose();
            effect.Dispose();
            Window.Dispose();
            Loop.Release();
        }
    }
}
