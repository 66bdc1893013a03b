using System.Reflection;
using SkiaSharp;

namespace CaptureProc.Screen.Drawing;

/// <summary>The fonts of the project, glyph by glyph, at the sizes that are in use.</summary>
/// <remarks>
/// Thread: one set for each thread that draws. A glyph is made when it is first asked for and kept, so drawing text that changes, like
/// the numbers of a meter, allocates nothing. Digits all have the width of the widest, so that a number does not shake.
/// The fonts are embedded: what the system has, and whether it can be found from inside a host, does not matter.
/// </remarks>
internal sealed class Lettering
{
    static Lettering() => SkiaLibrary.Prepare();

    [ThreadStatic]
    private static Lettering? ofThread;

    // By quarters of a pixel, twice that and one more for the bold ones.
    private readonly Dictionary<int, GlyphTable> tables = [];
    private readonly SKTypeface usual = Load("Manrope-Medium.ttf");
    private readonly SKTypeface bold = Load("Manrope-Bold.ttf");

    public static Lettering OfThread => ofThread ??= new Lettering();

    public GlyphTable At(bool isBold, float pixels)
    {
        var quarters = (int)(4 * pixels + 0.5f);
        var key = 2 * quarters + (isBold ? 1 : 0);
        if (tables.TryGetValue(key, out var table))
            return table;
        table = new GlyphTable(isBold ? bold : usual, quarters / 4f);
        tables.Add(key, table);
        return table;
    }

    private static SKTypeface Load(string name)
    {
        using var stream = typeof(Lettering).Assembly.GetManifestResourceStream(name)
            ?? throw new InvalidOperationException($"The font '{name}' is not in the library.");
        using var data = SKData.Create(stream);
        return SKTypeface.FromData(data) ?? throw new InvalidOperationException($"The font '{name}' cannot be read.");
    }
}

/// <summary>One font at one size.</summary>
internal sealed class GlyphTable
{
    private readonly SKFont font;
    private const int Common = 0x180;

    // Latin letters by their number, the rest by name.
    private readonly Glyph[] common = new Glyph[Common];
    private readonly Dictionary<char, Glyph> others = [];
    private readonly float digitWidth;

    public GlyphTable(SKTypeface typeface, float pixels)
    {
        font = new SKFont(typeface, pixels) { Subpixel = true, Edging = SKFontEdging.Antialias, Hinting = SKFontHinting.Slight };
        for (var digit = '0'; digit <= '9'; digit++)
            digitWidth = Math.Max(digitWidth, WidthOf(digit));
        // Of capitals, which is what the eye centres a line by.
        CapHeight = font.Metrics.CapHeight > 0 ? font.Metrics.CapHeight : 0.7f * pixels;
    }

    public float CapHeight { get; }

    public Glyph Of(char letter)
    {
        if (letter < Common ? common[letter] is { Advance: > 0 } : others.ContainsKey(letter))
            return letter < Common ? common[letter] : others[letter];
        ReadOnlySpan<char> one = [letter];
        var width = WidthOf(letter);
        var cell = char.IsAsciiDigit(letter) ? digitWidth : width;
        var glyph = new Glyph(char.IsWhiteSpace(letter) ? null : SKTextBlob.Create(one, font, default), (cell - width) / 2, cell);
        if (letter < Common)
            common[letter] = glyph;
        else
            others.Add(letter, glyph);
        return glyph;
    }

    public float WidthOf(ReadOnlySpan<char> text)
    {
        var width = 0f;
        foreach (var letter in text)
            width += Of(letter).Advance;
        return width;
    }

    private float WidthOf(char letter)
    {
        ReadOnlySpan<char> one = [letter];
        return font.MeasureText(one, null);
    }
}

/// <summary>A letter ready to be drawn: its shape (null for a space), where it stands in its cell, and how wide that is.</summary>
internal readonly record struct Glyph(SKTextBlob? Shape, float Offset, float Advance);
