namespace CaptureProc.Screen;

/// <summary>A colour as 0xAARRGGBB.</summary>
public readonly record struct Colour(uint Argb)
{
    public byte Red => (byte)(Argb >> 16);

    public byte Green => (byte)(Argb >> 8);

    public byte Blue => (byte)Argb;

    public static Colour Of(uint rgb) => new(0xFF000000 | rgb);

    public Colour Faded(float opacity) => new((Argb & 0xFFFFFF) | ((uint)(Math.Clamp(opacity, 0, 1) * (Argb >> 24) + 0.5f) << 24));

    /// <summary>Part of the way to another colour, 0…1.</summary>
    public Colour Towards(Colour other, float part)
    {
        var t = Math.Clamp(part, 0, 1);
        return new Colour(Mix(Argb >> 24, other.Argb >> 24, t) << 24 | Mix(Argb >> 16, other.Argb >> 16, t) << 16 | Mix(Argb >> 8, other.Argb >> 8, t) << 8 | Mix(Argb, other.Argb, t));
    }

    private static uint Mix(uint a, uint b, float t) => (uint)((a & 0xFF) * (1 - t) + (b & 0xFF) * t + 0.5f);
}

/// <summary>What colours mean here; two sets of them.</summary>
/// <remarks>
/// Blue is sound, amber is the user's hand, and the three verdicts keep apart in lightness as well as in hue, so that they stay
/// different for the colour-blind; whoever uses one also uses a sign or a word.
/// </remarks>
public sealed record Palette(
    Colour Ground, Colour Panel, Colour Edge, Colour Well, Colour Ink, Colour Soft, Colour Faint,
    Colour Hand, Colour Sound, Colour Hot, Colour Good, Colour Doubt, Colour Bad, float LineWidth)
{
    public static Palette Usual { get; } = new(
        Colour.Of(0x15191C), Colour.Of(0x1E2529), Colour.Of(0x303A40), Colour.Of(0x0E1113), Colour.Of(0xF3EEE3), Colour.Of(0xB4BCBC), Colour.Of(0x67747A),
        Colour.Of(0xF0B24A), Colour.Of(0x55B4E8), Colour.Of(0xF5E27A), Colour.Of(0x46C8A4), Colour.Of(0xF5E27A), Colour.Of(0xEE6A38), 1);

    public static Palette HighContrast { get; } = new(
        Colour.Of(0x000000), Colour.Of(0x000000), Colour.Of(0xFFFFFF), Colour.Of(0x000000), Colour.Of(0xFFFFFF), Colour.Of(0xFFFFFF), Colour.Of(0xC4C4C4),
        Colour.Of(0xFFD400), Colour.Of(0x7CD2FF), Colour.Of(0xFFF6A8), Colour.Of(0x62FFD0), Colour.Of(0xFFF6A8), Colour.Of(0xFF8552), 2);
}
