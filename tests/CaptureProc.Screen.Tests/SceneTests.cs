using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Tests;

public sealed class SceneTests
{
    [Fact]
    public void AFrameInWhichNothingChangesDrawsNothing()
    {
        using var stage = new Stage();
        var value = new NotedValue();
        stage.Scene.Add(new NumberBox(value) { Box = new Box(10, 10, 80, 28) });
        stage.Scene.Add(new Label { Box = new Box(10, 50, 80, 28), Says = () => "still" });
        Assert.Equal(1, stage.Frame());
        Assert.Equal(0, stage.Frame());
        value.Set(3);
        Assert.Equal(1, stage.Frame());
        Assert.Equal(0, stage.Frame());
    }

    [Fact]
    public void AFrameInWhichEverythingMovesMakesNoGarbage()
    {
        using var stage = new Stage();
        var values = Enumerable.Range(0, 6).Select(_ => new NotedValue()).ToList();
        var level = -60.0;
        for (var i = 0; i < 3; i++)
        {
            stage.Scene.Add(new NumberBox(values[i]) { Box = new Box(10 + 90 * i, 10, 80, 28), Caption = "a" });
            stage.Scene.Add(new Dial(values[3 + i]) { Box = new Box(10 + 90 * i, 50, 80, 80) });
            stage.Scene.Add(new LevelMeter { Box = new Box(10 + 40 * i, 130, 30, 60), HasScale = true, Reads = () => (level, level + 6, 0) });
        }
        stage.Scene.Add(new BalanceBar("a", "b", 15, () => level / 6) { Box = new Box(150, 140, 120, 40) });
        // Letters are made once, and code that has just been loaded may be compiled again; after some rounds there is nothing left to make.
        var bytes = long.MaxValue;
        for (var round = 0; round < 40 && bytes != 0; round++)
        {
            var before = GC.GetAllocatedBytesForCurrentThread();
            for (var i = 0; i < 400; i++)
                Move(i);
            bytes = GC.GetAllocatedBytesForCurrentThread() - before;
        }
        Assert.Equal(0, bytes);

        void Move(int i)
        {
            level = -60 + i % 60;
            foreach (var value in values)
                value.Jump(-12 + 0.06 * i);
            Assert.True(stage.Frame() > 0);
        }
    }

    [Fact]
    public void TheTabulatorReachesEveryControlThatTakesTheKeyboardOnceARound()
    {
        using var stage = new Stage();
        for (var i = 0; i < 5; i++)
            stage.Scene.Add(new Dial(new NotedValue()) { Box = new Box(10 + 50 * i, 10, 40, 80) });
        stage.Scene.Add(new Label { Box = new Box(10, 100, 80, 20), Says = () => "no stop" });
        var seen = new List<Control?>();
        for (var i = 0; i < 5; i++)
        {
            stage.Key(Key.Tab);
            seen.Add(stage.Scene.Focused);
        }
        Assert.Equal(stage.Scene.Controls.Where(c => c.TakesFocus), seen);
        stage.Key(Key.Tab);
        Assert.Equal(seen[0], stage.Scene.Focused);
        stage.Key(Key.Tab, isFine: true);
        Assert.Equal(seen[4], stage.Scene.Focused);
    }

    [Fact]
    public void AKeyThatMeansNothingIsLeftToTheHost()
    {
        using var stage = new Stage();
        Assert.False(stage.Scene.OnKey(new KeyPress(Key.Character, ' ', false, false)));
        stage.Scene.Focus(stage.Scene.Add(new Dial(new NotedValue()) { Box = new Box(10, 10, 40, 80) }));
        Assert.False(stage.Scene.OnKey(new KeyPress(Key.Character, 'x', false, false)));
        var given = true;
        stage.Scene.UseKeyboard = take => given = take;
        Assert.True(stage.Key(Key.Escape));
        Assert.False(given);
        Assert.Null(stage.Scene.Focused);
    }

    [Fact]
    public void ThePointerTellsWhatCanBeDoneWithTheThingBelowIt()
    {
        using var stage = new Stage();
        stage.Scene.Add(new Dial(new NotedValue()) { Box = new Box(10, 10, 60, 90) });
        stage.Scene.Add(new PushButton("Keep", () => { }) { Box = new Box(100, 10, 60, 30) });
        stage.Scene.Add(new PushButton("Not now", () => { }) { Box = new Box(200, 10, 60, 30), IsEnabled = false });
        var shapes = new List<PointerShape>();
        stage.Scene.UsePointer = shapes.Add;
        foreach (var (x, y) in new[] { (40, 40), (50, 50), (90, 90), (120, 20), (220, 20) })
            stage.Scene.OnMove(new MousePoint(x, y, false));
        Assert.Equal([PointerShape.Turn, PointerShape.Arrow, PointerShape.Press, PointerShape.Arrow], shapes);
        // What is held keeps its pointer wherever the mouse goes.
        shapes.Clear();
        stage.Scene.OnMove(new MousePoint(40, 40, false));
        stage.Scene.OnPress(new MousePoint(40, 40, false), 1);
        stage.Scene.OnMove(new MousePoint(280, 180, false));
        Assert.Equal([PointerShape.Turn], shapes);
        stage.Scene.OnRelease(new MousePoint(280, 180, false));
        Assert.Equal([PointerShape.Turn, PointerShape.Arrow], shapes);
    }

    [Fact]
    public void ASurfaceOfAnotherShapeIsLetterboxed()
    {
        using var scene = new Scene(100, 100);
        using var picture = new Picture(400, 200);
        scene.DrawBackground = (canvas, palette) => canvas.Fill(new Box(0, 0, 100, 100), palette.Ink);
        scene.UseSurface(picture.Pixels, picture.Width, picture.Height, picture.StrideBytes);
        scene.Draw(1);
        var row = picture.Row(100);
        var (ground, ink) = (Palette.Usual.Ground.Argb, Palette.Usual.Ink.Argb);
        Assert.Equal((ground, ink, ink, ground), (row[99], row[101], row[298], row[301]));
        Assert.Equal((50f, 50f), scene.FromPixels(200, 100));
    }

    [Fact]
    public void AToolTipComesAfterAWhileAndGoesWithTheMouse()
    {
        using var stage = new Stage();
        stage.Scene.Add(new Dial(new NotedValue()) { Box = new Box(10, 10, 60, 90), Tip = "Turns." });
        stage.Frame();
        stage.Scene.OnMove(new MousePoint(40, 40, false));
        stage.Frame(300);
        Assert.Null(stage.Scene.Overlay);
        stage.Frame(600);
        Assert.IsType<ToolTip>(stage.Scene.Overlay);
        stage.Scene.OnMove(new MousePoint(200, 150, false));
        stage.Frame();
        Assert.Null(stage.Scene.Overlay);
    }

    [Fact]
    public void WhatAMenuCoveredIsThereAgainWhenItCloses()
    {
        using var stage = new Stage();
        stage.Scene.Add(new NumberBox(new NotedValue()) { Box = new Box(100, 80, 80, 28) });
        stage.Frame();
        stage.Frame();
        var before = Copy();
        stage.Scene.Show(new Menu([new MenuItem("one", () => { }), new MenuItem("two", () => { })], 80, 60));
        stage.Frame();
        Assert.NotEqual(before, Copy());
        stage.Scene.Show(null);
        stage.Frame();
        // A pixel at an edge may be rounded otherwise when less is drawn at once.
        var after = Copy();
        for (var i = 0; i < before.Length; i++)
            for (var shift = 0; shift < 24; shift += 8)
                Assert.InRange((int)(after[i] >> shift & 0xFF) - (int)(before[i] >> shift & 0xFF), -2, 2);

        uint[] Copy() => [.. Enumerable.Range(0, stage.Picture.Height).SelectMany(y => stage.Picture.Row(y).ToArray())];
    }

    [Theory]
    [InlineData(0.75f)]
    [InlineData(1f)]
    [InlineData(2f)]
    public void TextIsNeverLowerThanElevenPixels(float scale)
    {
        using var picture = new Picture(200, 60);
        using var canvas = new Canvas(picture.Pixels, picture.Width, picture.Height, picture.StrideBytes, scale, 0, 0);
        canvas.Clear(Colour.Of(0));
        canvas.Text("Hg", 10 / scale, 30 / scale, 8, Colour.Of(0xFFFFFF));
        var inked = Enumerable.Range(0, 60).Where(y => picture.Row(y).ToArray().Any(pixel => (pixel & 0xFF) > 64)).ToList();
        // From the top of a capital to the foot of a g is about 0.93 of the size in this font.
        Assert.InRange(inked[^1] - inked[0] + 1, 0.85 * Math.Max(11, 8 * scale), 1.1 * Math.Max(11, 8 * scale));
    }

    [Theory]
    [InlineData(-0.004, 2, false, "0.00")]
    [InlineData(-3.5, 1, false, "−3.5")]
    [InlineData(3.5, 1, true, "+3.5")]
    [InlineData(double.NegativeInfinity, 1, false, "−∞")]
    [InlineData(12, 0, false, "12")]
    public void NumbersReadAsPeopleWriteThem(double value, int decimals, bool withPlus, string text)
    {
        Span<char> room = stackalloc char[24];
        Assert.Equal(text, new string(room[..Numbers.Write(value, decimals, room, withPlus)]));
    }
}
