using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Tests.Controls;

/// <summary>What hands do to a value, by mouse and by keys.</summary>
public sealed class HandTests
{
    private static readonly Box Where = new(100, 80, 80, 28);

    [Fact]
    public void ADragIsOneMoveFromHoldToRelease()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Frame();
        // 220 units are the whole range of 24 dB.
        stage.Drag(140, 90, 140, 68);
        Assert.Equal(("hold", "release"), (value.Notes[0], value.Notes[^1]));
        Assert.Equal(2.4, value.Now, 1e-9);
        Assert.Equal(2, value.Notes.Count(note => note is "hold" or "release"));
    }

    [Fact]
    public void AFineDragGoesATenthAsFar()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Add(new Dial(value) { Box = new Box(100, 60, 80, 100) });
        stage.Frame();
        stage.Drag(140, 90, 162, 90, isFine: true);
        Assert.Equal(0.24, value.Now, 1e-9);
    }

    [Fact]
    public void AnEndOfTheRangeIsNotPassed()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Frame();
        stage.Drag(140, 90, 140, -900);
        Assert.Equal(12, value.Now);
        Assert.DoesNotContain(value.Notes, note => double.TryParse(note, out var number) && Math.Abs(number) > 12);
    }

    [Fact]
    public void TwoClicksGoBackToTheDefault()
    {
        using var stage = new Stage();
        var value = new NotedValue(start: 1.5);
        value.Set(7);
        stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Frame();
        stage.Click(140, 90);
        stage.Click(140, 90);
        Assert.Equal(1.5, value.Now);
    }

    [Fact]
    public void TheWheelGoesByAHundredthAndFineByATenthOfThat()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Scene.OnWheel(new MousePoint(140, 90, false), 1);
        Assert.Equal(0.24, value.Now, 1e-9);
        stage.Scene.OnWheel(new MousePoint(140, 90, true), -1);
        Assert.Equal(0.22, value.Now, 1e-9);
    }

    [Fact]
    public void ANumberCanBeTypedWithCommaMinusAndUnit()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        var box = stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Scene.Focus(box);
        stage.Type("-3,5 dB");
        Assert.IsType<NumberEntry>(stage.Scene.Overlay);
        stage.Key(Key.Enter);
        Assert.Null(stage.Scene.Overlay);
        Assert.Equal(-3.5, value.Now);
    }

    [Fact]
    public void WhatIsNoNumberStaysToBeMendedAndEscapeLeavesTheValueAlone()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        var box = stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Scene.Focus(box);
        stage.Key(Key.Enter);
        stage.Type("about five");
        stage.Key(Key.Enter);
        stage.Frame();
        Assert.Equal("about five", Assert.IsType<NumberEntry>(stage.Scene.Overlay).Text);
        stage.Key(Key.Escape);
        Assert.Null(stage.Scene.Overlay);
        Assert.Empty(value.Notes);
    }

    [Fact]
    public void TypedNumbersBeyondTheRangeEndAtItsEnd()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Focus(stage.Scene.Add(new NumberBox(value) { Box = Where }));
        stage.Type("900");
        stage.Key(Key.Enter);
        Assert.Equal(12, value.Now);
    }

    [Fact]
    public void ArrowsPagesEndsAndDeleteMoveAFocusedValue()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Focus(stage.Scene.Add(new Dial(value) { Box = new Box(100, 60, 80, 100) }));
        stage.Key(Key.Up);
        stage.Key(Key.Left, isFine: true);
        Assert.Equal(0.22, value.Now, 1e-9);
        stage.Key(Key.PageUp);
        Assert.Equal(2.62, value.Now, 1e-9);
        stage.Key(Key.End);
        Assert.Equal(12, value.Now);
        stage.Key(Key.Home);
        Assert.Equal(-12, value.Now);
        stage.Key(Key.Delete);
        Assert.Equal(0, value.Now);
    }

    [Fact]
    public void AListOpensByKeyAndSkipsWhatIsNotOnOffer()
    {
        using var stage = new Stage();
        var value = new NotedValue(0, 3, 0, 3, "one", "", "three", "four");
        stage.Scene.Focus(stage.Scene.Add(new ChoiceBox(value) { Box = Where }));
        stage.Key(Key.Down);
        Assert.Equal(2, value.Now);
        stage.Key(Key.Enter);
        var menu = Assert.IsType<Menu>(stage.Scene.Overlay);
        Assert.Equal(["one", "three", "four"], menu.Items.Select(item => item.Text));
        stage.Key(Key.Down);
        stage.Key(Key.Enter);
        Assert.Equal(3, value.Now);
        Assert.Null(stage.Scene.Overlay);
    }

    [Fact]
    public void AListIsChosenFromByMouse()
    {
        using var stage = new Stage();
        var value = new NotedValue(0, 2, 0, 2, "one", "two", "three");
        stage.Scene.Add(new ChoiceBox(value) { Box = Where });
        stage.Click(140, 90);
        var menu = Assert.IsType<Menu>(stage.Scene.Overlay);
        stage.Click(menu.Box.X + 30, menu.Box.Y + 5 + 26 + 10);
        Assert.Equal(1, value.Now);
        stage.Frame(1000);
        stage.Click(140, 90);
        stage.Click(5, 5);
        Assert.Null(stage.Scene.Overlay);
        Assert.Equal(1, value.Now);
    }

    [Fact]
    public void SwitchesSegmentsAndButtonsActByClickAndByKey()
    {
        using var stage = new Stage();
        var on = new NotedValue(0, 1, 0, 1, "off", "on");
        var part = new NotedValue(0, 2, 0, 2, "a", "b", "c");
        var presses = 0;
        var flip = stage.Scene.Add(new Switch(on) { Box = new Box(10, 10, 80, 24) });
        var segments = stage.Scene.Add(new Segments(part, "a", "b", "c") { Box = new Box(10, 40, 90, 24) });
        var button = stage.Scene.Add(new PushButton("Go", () => presses++) { Box = new Box(10, 70, 60, 24) });
        stage.Click(20, 20);
        Assert.Equal(1, on.Now);
        stage.Click(85, 50);
        Assert.Equal(2, part.Now);
        stage.Click(30, 80);
        Assert.Equal(1, presses);
        stage.Scene.Focus(flip);
        stage.Type(" ");
        stage.Scene.Focus(segments);
        stage.Key(Key.Enter);
        stage.Scene.Focus(button);
        stage.Key(Key.Enter);
        Assert.Equal((0, 0, 2), (on.Now, part.Now, presses));
    }

    [Fact]
    public void AButtonLetGoOutsideDoesNothing()
    {
        using var stage = new Stage();
        var presses = 0;
        stage.Scene.Add(new PushButton("Go", () => presses++) { Box = Where });
        stage.Drag(140, 90, 10, 10);
        Assert.Equal(0, presses);
    }

    [Fact]
    public void WhatIsDisabledTakesNothing()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        var box = stage.Scene.Add(new NumberBox(value) { Box = Where, IsEnabled = false });
        stage.Drag(140, 90, 140, 40);
        stage.Scene.OnWheel(new MousePoint(140, 90, false), 1);
        stage.Key(Key.Tab);
        Assert.NotEqual(box, stage.Scene.Focused);
        Assert.Empty(value.Notes);
    }

    [Fact]
    public void TheMenuOfAControlSetsTheDefaultAndAsksForANumber()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        value.Set(5);
        stage.Scene.WindowMenu = () => [new MenuItem("Window", () => { })];
        stage.Scene.Add(new NumberBox(value) { Box = Where });
        stage.Click(140, 90, button: 3);
        var menu = Assert.IsType<Menu>(stage.Scene.Overlay);
        Assert.Equal(["Back to the default", "Enter a number …", "Window"], menu.Items.Select(item => item.Text));
        stage.Key(Key.Down);
        stage.Key(Key.Enter);
        Assert.Equal(0, value.Now);
    }

    [Fact]
    public void AClipLampStaysLitUntilItIsClicked()
    {
        using var stage = new Stage();
        var clips = 0L;
        var meter = stage.Scene.Add(new LevelMeter { Box = new Box(10, 10, 40, 150), Reads = () => (-20, -12, clips) });
        stage.Frame();
        Assert.False(meter.IsClipLit);
        clips = 3;
        stage.Frame();
        for (var i = 0; i < 300; i++)
            stage.Frame();
        Assert.True(meter.IsClipLit);
        stage.Click(20, 14);
        Assert.False(meter.IsClipLit);
    }

    [Fact]
    public void ABarRisesAtOnceAndFallsTwentyDecibelsInOnePointSevenSeconds()
    {
        // IEC 60268-10, type I: from memory, a return of 20 dB in 1.7 s.
        var ballistics = new Ballistics();
        ballistics.Move(-6, -3, 1000);
        Assert.Equal((-6, -3), (ballistics.LevelDb, ballistics.PeakDb));
        for (var at = 1010; at <= 2700; at += 10)
            ballistics.Move(-100, -100, at);
        Assert.Equal(-26, ballistics.LevelDb, 0.01);
        Assert.Equal(-3, ballistics.PeakDb);
        for (var at = 2710; at <= 5000; at += 10)
            ballistics.Move(-100, -100, at);
        Assert.InRange(ballistics.PeakDb, -30, -14);
    }
}
