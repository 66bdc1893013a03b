using CaptureProc.Plugins;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Input;
using CaptureProc.Testing;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Hosting;
using CaptureProc.Vst3.Views;

[assembly: AssemblyFixture(typeof(VirtualScreen))]

namespace CaptureProc.Screen.Tests.Windows;

/// <summary>The windows of all classes: what hands do in them, what they cost, and how they come and go on a real X server.</summary>
[Collection("windows")]
public sealed class PluginWindowTests
{
    public static TheoryData<string> Classes => [.. Bundle.Classes.Select(c => c.Name)];

    [Theory]
    [MemberData(nameof(Classes))]
    public void EveryParameterThatCanBeSetHasAControlThatTheKeyboardReaches(string className)
    {
        using var studio = new WindowStudio(ClassOf(className));
        studio.Draw();
        var scene = studio.View.Scene;
        var reached = new HashSet<Control>();
        for (var i = 0; i < 200; i++)
        {
            scene.OnKey(new KeyPress(Key.Tab, '\0', false, false));
            if (scene.Focused is { } control)
                reached.Add(control);
        }
        Assert.Equal(scene.Controls.Where(c => c is { TakesFocus: true, IsEnabled: true, IsVisible: true }).ToHashSet(), reached);
        var titles = scene.Controls.Where(c => c.Value != null && c.TakesFocus).Select(c => c.Value!.Name).ToHashSet();
        var missing = studio.Hosted.Parameters.Where(p => (p.Flags & ParameterFlags.IsReadOnly) == 0 && (p.Flags & ParameterFlags.CanAutomate) != 0)
            .Select(p => p.Title).Where(title => !titles.Contains(title));
        Assert.Empty(missing);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void EveryControlThatCanBeSetSaysWhatItIsForAndLiesInsideTheWindowBesideTheOthers(string className)
    {
        using var studio = new WindowStudio(ClassOf(className));
        studio.Draw();
        var scene = studio.View.Scene;
        var window = new Box(0, 0, scene.Width, scene.Height);
        var controls = scene.Controls.Where(c => c.TakesFocus && c.IsVisible).ToList();
        Assert.All(controls, c => Assert.True(c.Tip.Length > 10 && c.Name.Length > 0, $"{c.GetType().Name} '{c.Name}' says nothing."));
        Assert.All(scene.Controls, c => Assert.Equal(c.Box, c.Box.Common(window)));
        foreach (var a in controls)
            foreach (var b in controls)
                Assert.True(a == b || !a.Box.Meets(b.Box), $"{a.Name} lies over {b.Name}.");
    }

    [Fact]
    public void ADragInTheWindowSetsTheParameterAtTheHost()
    {
        using var studio = new WindowStudio(Bundle.Array);
        studio.Draw();
        var trim = studio.View.Scene.Controls.Single(c => c.Value?.Name == "Trim 3").Box;
        Pointer(studio, PointerAction.Press, trim.CentreX, trim.CentreY, 1);
        Pointer(studio, PointerAction.Move, trim.CentreX, trim.CentreY - 55);
        Pointer(studio, PointerAction.Release, trim.CentreX, trim.CentreY - 55, 1);
        // 55 of 220 units are a quarter of the range of 24 dB.
        Assert.Equal("6.00", studio.Text("Trim 3"));
        Assert.Equal("0.00", studio.Text("Trim 2"));
    }

    [Fact]
    public void TheHeadIsTurnedByMouseWheelAndArrows()
    {
        using var studio = new WindowStudio(Bundle.Listen2);
        studio.Draw();
        var head = studio.View.Scene.Controls.Single(c => c.Name == "Listener's head").Box;
        var (x, y) = (head.X + head.Width / 4, head.CentreY);
        Pointer(studio, PointerAction.Press, x, y, 1);
        Pointer(studio, PointerAction.Move, x - 50, y);
        Pointer(studio, PointerAction.Release, x - 50, y, 1);
        Assert.Equal("35.0", studio.Text("Listener: yaw"));
        studio.View.OnKey(new KeyInput(ViewKey.Right, '\0', ViewModifiers.None));
        Assert.Equal("30.0", studio.Text("Listener: yaw"));
        studio.View.OnKey(new KeyInput(ViewKey.Down, '\0', ViewModifiers.None));
        Assert.Equal("5.0", studio.Text("Listener: pitch"));
        studio.View.OnWheel((int)(head.X + 3 * head.Width / 4), (int)y, 1, ViewModifiers.None);
        Assert.Equal("5.0", studio.Text("Listener: roll"));
    }

    [Fact]
    public void APlacedSpotIsDraggedRoundTheStage()
    {
        using var studio = new WindowStudio(Bundle.Place1);
        studio.Set("Direction from", "By hand");
        studio.Draw();
        var stage = studio.View.Scene.Controls.Single(c => c.Name == "Stage from above").Box;
        Pointer(studio, PointerAction.Press, stage.CentreX, stage.CentreY - 60, 1);
        Pointer(studio, PointerAction.Move, stage.CentreX - 60, stage.CentreY);
        Pointer(studio, PointerAction.Release, stage.CentreX - 60, stage.CentreY, 1);
        Assert.Equal(90, double.Parse(studio.Text("Azimuth"), System.Globalization.CultureInfo.InvariantCulture), 1.0);
    }

    [Fact]
    public void OnlyWhatIsOnOfferStandsInTheLists()
    {
        using var studio = new WindowStudio(Bundle.Spot);
        studio.Set("Session", "evening");
        studio.WaitFor("Session status", "In step");
        studio.Draw();
        var spots = studio.View.Scene.Controls.Single(c => c.Value?.Name == "Spot").Value!;
        Assert.Equal(["None", "harp", "bells", "viola", "oboe"], Enumerable.Range(0, spots.StepCount + 1).Select(spots.NameOf).Where(name => name.Length > 0));
    }

    [Theory]
    [InlineData("CaptureProc Array")]
    [InlineData("CaptureProc Place 2")]
    [InlineData("CaptureProc Listen 1")]
    public void FramesInWhichEverythingMovesMakeNoGarbage(string className)
    {
        using var studio = new WindowStudio(ClassOf(className));
        // Letters that have not been drawn before are made in the first rounds; then there is nothing left to make.
        var bytes = long.MaxValue;
        for (var round = 0; round < 12 && bytes > 0; round++)
        {
            var (before, parts) = (studio.GarbageBytes, studio.PartsDrawn);
            studio.Run(1, (rows, at) =>
            {
                studio.PlayNoise(rows, -3 - at / 4800 % 20, -9);
                Wiggle(studio.Hosted, at);
            });
            bytes = studio.GarbageBytes - before;
            Assert.True(studio.PartsDrawn - parts >= 30);
        }
        Assert.Equal(0, bytes);
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void AWindowThatRestsDrawsNothing(string className)
    {
        using var studio = new WindowStudio(ClassOf(className));
        // Silence, and time for the meters to fall.
        studio.Run(1);
        for (var i = 0; i < 600; i++)
            studio.Draw();
        for (var i = 0; i < 20; i++)
            Assert.Equal(0, studio.Draw());
    }

    [Theory]
    [MemberData(nameof(Classes))]
    public void OnAServerItOpensDrawsAndCloses(string className)
    {
        using var effect = InProcess.Create(ClassOf(className));
        using var view = HostedView.TryMake(effect)!;
        var (width, height) = view.Size;
        using var window = HostWindow.TryOpen(width, height, className)!;
        var loop = new HostRunLoop();
        Assert.True(view.Attach(loop, window.Id));
        loop.RunFor(TimeSpan.FromSeconds(10), () => window.Photograph() is { Length: > 0 } picture && picture[0] != 0);
        var ground = Palette.Usual.Ground.Argb & 0xFFFFFF;
        var photograph = window.Photograph();
        Assert.Equal(ground, photograph[0]);
        Assert.True(photograph.Distinct().Take(50).Count() == 50);
        for (var i = 0; i < 18; i++)
        {
            view.Detach();
            Assert.True(view.Attach(loop, window.Id));
            loop.RunFor(TimeSpan.FromMilliseconds(2));
        }
        view.Detach();
        Assert.Equal(0, loop.RegisteredCount);
        loop.Release();
    }

    private static EffectClass ClassOf(string name) => Bundle.Classes.Single(c => c.Name == name);

    private static void Pointer(WindowStudio studio, PointerAction action, float x, float y, int button = 0)
    {
        studio.View.OnPointer(new PointerInput(action, (int)x, (int)y, button, ViewModifiers.None));
        studio.Draw();
    }

    private static void Wiggle(HostedEffect effect, long at)
    {
        foreach (var parameter in effect.Parameters)
            if (parameter.StepCount == 0 && (parameter.Flags & ParameterFlags.IsReadOnly) == 0)
                effect.SetNormalized(parameter.Id, 0.5 + 0.4 * Math.Sin(at / 4800.0));
    }
}
