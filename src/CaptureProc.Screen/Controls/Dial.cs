using CaptureProc.Screen.Drawing;

namespace CaptureProc.Screen.Controls;

/// <summary>A turning knob: an arc from the default to the value, with the number below.</summary>
public sealed class Dial(ControlValue value) : ValueControl(value)
{
    private const float StartDeg = 135, SweepDeg = 270;

    public string Caption { get; init; } = "";

    /// <summary>For angles that come round: a full circle with 0 at the top.</summary>
    public bool IsCompass { get; init; }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var radius = Math.Min(Box.Width, Box.Height - 34) / 2 - 3;
        var (x, y) = (Box.CentreX, Box.Y + 16 + radius + 2);
        var range = Value.Maximum - Value.Minimum;
        // Positive angles turn to the left, as seen from above.
        float AngleOf(double v) => IsCompass
            ? (float)(-90 - v)
            : StartDeg + (float)((v - Value.Minimum) / range) * SweepDeg;
        var (from, to) = (AngleOf(Value.Default), AngleOf(Value.Now));
        var colour = IsEnabled ? palette.Hand : palette.Faint;
        canvas.Disc(x, y, radius, IsHovered ? palette.Well.Towards(palette.Ink, 0.08f) : palette.Well);
        canvas.Arc(x, y, radius, IsCompass ? 0 : StartDeg, IsCompass ? 360 : SweepDeg, 2.5f, palette.Edge);
        if (from != to)
            canvas.Arc(x, y, radius, Math.Min(from, to), Math.Abs(to - from), 3, colour);
        var (sin, cos) = MathF.SinCos(to * MathF.PI / 180);
        canvas.Line(x + cos * radius * 0.35f, y + sin * radius * 0.35f, x + cos * radius * 0.86f, y + sin * radius * 0.86f, 2.5f, IsEnabled ? palette.Ink : palette.Faint);
        canvas.Text(Caption, x, Box.Y + 7, 12, palette.Soft, Align.Centre);
        Span<char> text = stackalloc char[40];
        var count = Numbers.Write(Value.Now, Value.Decimals, text);
        count = Numbers.Append(Value.Unit, text, Value.Unit is "°" or "" ? count : Numbers.Append(" ", text, count));
        canvas.Text(text[..count], x, Box.Bottom - 7, 12.5f, IsEnabled ? palette.Ink : palette.Faint, Align.Centre);
    }
}
