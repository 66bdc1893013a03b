using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Tests;

/// <summary>A scene drawn into memory, with a clock and hands.</summary>
internal sealed class Stage : IDisposable
{
    private long milliseconds = 1000;

    public Stage(float width = 300, float height = 200, float scale = 1)
    {
        Scene = new Scene(width, height);
        Picture = new Picture((int)(width * scale), (int)(height * scale));
        Scene.UseSurface(Picture.Pixels, Picture.Width, Picture.Height, Picture.StrideBytes);
    }

    public Scene Scene { get; }

    public Picture Picture { get; }

    public int Frame(long later = 33)
    {
        milliseconds += later;
        return Scene.Draw(milliseconds).Length;
    }

    public void Drag(float fromX, float fromY, float toX, float toY, bool isFine = false)
    {
        Scene.OnMove(new MousePoint(fromX, fromY, isFine));
        Scene.OnPress(new MousePoint(fromX, fromY, isFine), 1);
        Scene.OnMove(new MousePoint((fromX + toX) / 2, (fromY + toY) / 2, isFine));
        Scene.OnMove(new MousePoint(toX, toY, isFine));
        Scene.OnRelease(new MousePoint(toX, toY, isFine));
        Frame(1000);
    }

    public void Click(float x, float y, int button = 1)
    {
        Scene.OnMove(new MousePoint(x, y, false));
        Scene.OnPress(new MousePoint(x, y, false), button);
        Scene.OnRelease(new MousePoint(x, y, false));
        Frame();
    }

    public bool Key(Key key, bool isFine = false) => Scene.OnKey(new KeyPress(key, '\0', isFine, false));

    public void Type(string text)
    {
        foreach (var letter in text)
            Scene.OnKey(new KeyPress(Input.Key.Character, letter, false, false));
    }

    public void Dispose()
    {
        Scene.Dispose();
        Picture.Dispose();
    }
}

/// <summary>A value that writes down how it is moved.</summary>
internal sealed class NotedValue(double minimum = -12, double maximum = 12, double start = 0, int steps = 0, params string[] names) : ControlValue
{
    private readonly double rest = start;
    private double now = start;

    public List<string> Notes { get; } = [];

    /// <summary>Moved by somebody else, and not written down.</summary>
    public void Jump(double value) => now = value;

    public override string Name => "Noted";

    public override string Unit => "dB";

    public override double Minimum => minimum;

    public override double Maximum => maximum;

    public override double Default => rest;

    public override int StepCount => steps;

    public override int Decimals => 2;

    public override double Now => now;

    public override string NameOf(int choice) => choice < names.Length ? names[choice] : "";

    public override void Hold() => Notes.Add("hold");

    public override void Set(double value)
    {
        now = value;
        Notes.Add(FormattableString.Invariant($"{value:0.###}"));
    }

    public override void Release() => Notes.Add("release");

    public override bool TryParse(string text, out double value) =>
        double.TryParse(text.Replace("dB", "", StringComparison.Ordinal).Trim(), System.Globalization.CultureInfo.InvariantCulture, out value);
}
