using SkiaSharp;

namespace CaptureProc.Screen.Drawing;

/// <summary>Where a line of text stands to the place that is given for it.</summary>
public enum Align
{
    Left, Centre, Right,
}

/// <summary>Draws shapes and text into pixels, in units of the layout.</summary>
/// <remarks>
/// Thread: [main]. Allocates: when made, and for a letter or a size of text that has not been drawn before; nothing in steady state.
/// Text is never smaller than <see cref="LeastTextPixels"/> on the screen, whatever the scale.
/// </remarks>
public sealed class Canvas : IDisposable
{
    public const float LeastTextPixels = 11;

    static Canvas() => SkiaLibrary.Prepare();

    private readonly SKSurface surface;
    private readonly SKCanvas canvas;
    private readonly SKPaint fill = new() { IsAntialias = true };
    private readonly SKPaint stroke = new() { IsAntialias = true, IsStroke = true, StrokeCap = SKStrokeCap.Round, StrokeJoin = SKStrokeJoin.Round };
    private readonly Lettering lettering = Lettering.OfThread;
    private readonly float scale, left, top;

    /// <param name="pixels">32-bit pixels, blue lowest, that outlive the canvas.</param>
    /// <param name="width">In pixels.</param>
    /// <param name="height">In pixels.</param>
    /// <param name="strideBytes">From row to row.</param>
    /// <param name="scale">Pixels for one unit.</param>
    /// <param name="left">Where unit 0 is, in pixels.</param>
    /// <param name="top">Where unit 0 is, in pixels.</param>
    public Canvas(nint pixels, int width, int height, int strideBytes, float scale, float left, float top)
    {
        (this.scale, this.left, this.top) = (scale, left, top);
        surface = SKSurface.Create(new SKImageInfo(width, height, SKColorType.Bgra8888, SKAlphaType.Opaque), pixels, strideBytes)
            ?? throw new InvalidOperationException($"There is no drawing into {width} by {height} pixels.");
        canvas = surface.Canvas;
    }

    /// <summary>Pixels for one unit.</summary>
    public float Scale => scale;

    public void Dispose()
    {
        surface.Dispose();
        fill.Dispose();
        stroke.Dispose();
    }

    /// <summary>Everything, beyond the layout too.</summary>
    public void Clear(Colour colour) => canvas.DrawColor(Sk(colour), SKBlendMode.Src);

    /// <summary>What is drawn until <see cref="EndClip"/> stays inside.</summary>
    public void BeginClip(Box box)
    {
        canvas.Save();
        canvas.ClipRect(Snapped(box), SKClipOperation.Intersect, false);
    }

    public void EndClip() => canvas.Restore();

    /// <summary>A rectangle with its edges on whole pixels.</summary>
    public void Fill(Box box, Colour colour) => canvas.DrawRect(Snapped(box), Filling(colour));

    public void FillRound(Box box, float radius, Colour colour) => canvas.DrawRoundRect(Snapped(box), radius * scale, radius * scale, Filling(colour));

    /// <summary>An outline inside the box.</summary>
    public void FrameRound(Box box, float radius, float width, Colour colour)
    {
        var rect = Snapped(box);
        var line = MathF.Max(1, MathF.Round(width * scale));
        rect.Inflate(-line / 2, -line / 2);
        canvas.DrawRoundRect(rect, radius * scale, radius * scale, Stroking(line, colour));
    }

    public void Line(float x1, float y1, float x2, float y2, float width, Colour colour) =>
        canvas.DrawLine(X(x1), Y(y1), X(x2), Y(y2), Stroking(MathF.Max(1, width * scale), colour));

    /// <summary>A straight line along one axis, on whole pixels.</summary>
    public void Hairline(float x1, float y1, float x2, float y2, Colour colour)
    {
        var (a, b) = (MathF.Round(X(x1)), MathF.Round(Y(y1)));
        var line = MathF.Max(1, MathF.Round(scale));
        if (y1 == y2)
            canvas.DrawRect(new SKRect(a, b, MathF.Round(X(x2)), b + line), Filling(colour));
        else
            canvas.DrawRect(new SKRect(a, b, a + line, MathF.Round(Y(y2))), Filling(colour));
    }

    public void Disc(float x, float y, float radius, Colour colour) => canvas.DrawCircle(X(x), Y(y), radius * scale, Filling(colour));

    public void Ring(float x, float y, float radius, float width, Colour colour) =>
        canvas.DrawCircle(X(x), Y(y), radius * scale, Stroking(MathF.Max(1, width * scale), colour));

    public void Oval(Box box, float width, Colour colour) => canvas.DrawOval(Exact(box), Stroking(MathF.Max(1, width * scale), colour));

    public void FillOval(Box box, Colour colour) => canvas.DrawOval(Exact(box), Filling(colour));

    /// <summary>Part of a circle; 0° is to the right, angles grow clockwise as on the screen.</summary>
    public void Arc(float x, float y, float radius, float startDeg, float sweepDeg, float width, Colour colour) =>
        canvas.DrawArc(Exact(new Box(x - radius, y - radius, 2 * radius, 2 * radius)), startDeg, sweepDeg, false, Stroking(MathF.Max(1, width * scale), colour));

    /// <summary>The same as a filled piece of pie.</summary>
    public void Sector(float x, float y, float radius, float startDeg, float sweepDeg, Colour colour) =>
        canvas.DrawArc(Exact(new Box(x - radius, y - radius, 2 * radius, 2 * radius)), startDeg, sweepDeg, true, Filling(colour));

    /// <summary>A line through all points of a shape.</summary>
    public void Draw(Polyline line, float width, Colour colour)
    {
        line.Place(scale, left, top);
        canvas.DrawPoints(SKPointMode.Polygon, line.Placed, Stroking(MathF.Max(1, width * scale), colour));
    }

    /// <summary>One line of text whose capitals are centred on <paramref name="middle"/>.</summary>
    public void Text(ReadOnlySpan<char> text, float x, float middle, float size, Colour colour, Align align = Align.Left, bool isBold = false)
    {
        var table = TableOf(size, isBold);
        var at = X(x);
        if (align != Align.Left)
            at -= table.WidthOf(text) * (align == Align.Centre ? 0.5f : 1);
        DrawLetters(table, text, at, MathF.Round(Y(middle) + table.CapHeight / 2), colour);
    }

    /// <summary>The same, cut with an ellipsis where it is wider than there is room.</summary>
    public void TextWithin(ReadOnlySpan<char> text, Box box, float size, Colour colour, Align align = Align.Left, bool isBold = false)
    {
        var table = TableOf(size, isBold);
        var room = box.Width * scale;
        var width = table.WidthOf(text);
        var isCut = width > room + 0.5f;
        if (isCut)
        {
            width = table.Of('…').Advance;
            var count = 0;
            while (count < text.Length && width + table.Of(text[count]).Advance <= room)
                width += table.Of(text[count++]).Advance;
            text = text[..count].TrimEnd();
        }
        var start = align switch
        {
            Align.Centre => X(box.CentreX) - width / 2,
            Align.Right => X(box.Right) - width,
            _ => X(box.X),
        };
        var baseline = MathF.Round(Y(box.CentreY) + table.CapHeight / 2);
        start = DrawLetters(table, text, start, baseline, colour);
        if (isCut)
            DrawLetters(table, "…", start, baseline, colour);
    }

    /// <summary>Text over as many lines as it needs, broken at spaces.</summary>
    /// <returns>The height that it takes.</returns>
    public float TextBlock(ReadOnlySpan<char> text, Box box, float size, Colour colour, float lineHeight, bool draw = true)
    {
        var table = TableOf(size, false);
        var room = box.Width * scale;
        var middle = box.Y + lineHeight / 2;
        while (!text.IsEmpty)
        {
            var (fits, width, lastSpace) = (0, 0f, -1);
            while (fits < text.Length && text[fits] != '\n' && width + table.Of(text[fits]).Advance <= room)
            {
                if (text[fits] == ' ')
                    lastSpace = fits;
                width += table.Of(text[fits++]).Advance;
            }
            var end = fits == text.Length || text[fits] is '\n' or ' ' ? fits : lastSpace > 0 ? lastSpace : Math.Max(1, fits);
            if (draw)
                DrawLetters(table, text[..end], X(box.X), MathF.Round(Y(middle) + table.CapHeight / 2), colour);
            text = end < text.Length && text[end] is '\n' or ' ' ? text[(end + 1)..] : text[end..];
            middle += lineHeight;
        }
        return middle - lineHeight / 2 - box.Y;
    }

    public float WidthOf(ReadOnlySpan<char> text, float size, bool isBold = false) => TableOf(size, isBold).WidthOf(text) / scale;

    private float DrawLetters(GlyphTable table, ReadOnlySpan<char> text, float x, float baseline, Colour colour)
    {
        var paint = Filling(colour);
        foreach (var letter in text)
        {
            var glyph = table.Of(letter);
            if (glyph.Shape != null)
                canvas.DrawText(glyph.Shape, x + glyph.Offset, baseline, paint);
            x += glyph.Advance;
        }
        return x;
    }

    private GlyphTable TableOf(float size, bool isBold) => lettering.At(isBold, MathF.Max(LeastTextPixels, size * scale));

    private float X(float x) => left + x * scale;

    private float Y(float y) => top + y * scale;

    private SKRect Exact(Box box) => new(X(box.X), Y(box.Y), X(box.Right), Y(box.Bottom));

    private SKRect Snapped(Box box) => new(MathF.Round(X(box.X)), MathF.Round(Y(box.Y)), MathF.Round(X(box.Right)), MathF.Round(Y(box.Bottom)));

    private SKPaint Filling(Colour colour)
    {
        fill.Color = Sk(colour);
        return fill;
    }

    private SKPaint Stroking(float pixels, Colour colour)
    {
        stroke.Color = Sk(colour);
        stroke.StrokeWidth = pixels;
        return stroke;
    }

    private static SKColor Sk(Colour colour) => new(colour.Argb);
}
