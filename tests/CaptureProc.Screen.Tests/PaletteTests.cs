namespace CaptureProc.Screen.Tests;

public sealed class PaletteTests
{
    public static TheoryData<bool> Both => [false, true];

    /// <remarks>Contrast of at least 4.5 : 1 for text: W3C, WCAG 2.2, success criterion 1.4.3; 7 : 1 for the high contrast set, 1.4.6.</remarks>
    [Theory]
    [MemberData(nameof(Both))]
    public void TextStandsOutFromEveryGround(bool isHigh)
    {
        var palette = isHigh ? Palette.HighContrast : Palette.Usual;
        foreach (var ground in (Colour[])[palette.Ground, palette.Panel, palette.Well])
            foreach (var ink in (Colour[])[palette.Ink, palette.Soft, palette.Good, palette.Doubt, palette.Bad, palette.Hand, palette.Sound])
                Assert.True(Contrast(ink, ground) >= (isHigh ? 7 : 4.5), $"{ink.Argb:X8} on {ground.Argb:X8}: {Contrast(ink, ground):F2}");
        Assert.True(Contrast(palette.Ground, palette.Hand) >= 4.5);
    }

    /// <remarks>
    /// Dichromats simulated in linear RGB with the matrices of Machado, Oliveira and Fernandes, A Physiologically-based Model for
    /// Simulation of Color Vision Deficiency, IEEE TVCG 15(6), 2009, severity 1.0 (from memory); differences as ΔE*ab (CIE 1976).
    /// A just noticeable difference is about 2.3.
    /// </remarks>
    [Theory]
    [MemberData(nameof(Both))]
    public void VerdictsSoundAndHandStayApartForTheColourBlind(bool isHigh)
    {
        var palette = isHigh ? Palette.HighContrast : Palette.Usual;
        double[][] simulations =
        [
            [1, 0, 0, 0, 1, 0, 0, 0, 1],
            [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
            [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881],
            [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900],
        ];
        foreach (var simulation in simulations)
        {
            Assert.True(Difference(palette.Good, palette.Bad, simulation) > 20);
            Assert.True(Difference(palette.Good, palette.Doubt, simulation) > 15);
            Assert.True(Difference(palette.Doubt, palette.Bad, simulation) > 20);
            Assert.True(Difference(palette.Sound, palette.Hand, simulation) > 20);
            Assert.True(Difference(palette.Sound, palette.Hot, simulation) > 15);
        }
    }

    private static double Contrast(Colour a, Colour b)
    {
        var (x, y) = (Luminance(a), Luminance(b));
        return (Math.Max(x, y) + 0.05) / (Math.Min(x, y) + 0.05);
    }

    private static double Luminance(Colour c) => 0.2126 * Linear(c.Red) + 0.7152 * Linear(c.Green) + 0.0722 * Linear(c.Blue);

    private static double Linear(byte value)
    {
        var v = value / 255.0;
        return v <= 0.04045 ? v / 12.92 : Math.Pow((v + 0.055) / 1.055, 2.4);
    }

    private static double Difference(Colour a, Colour b, double[] simulation)
    {
        var (p, q) = (Lab(a, simulation), Lab(b, simulation));
        return Math.Sqrt(Math.Pow(p.L - q.L, 2) + Math.Pow(p.A - q.A, 2) + Math.Pow(p.B - q.B, 2));
    }

    private static (double L, double A, double B) Lab(Colour c, double[] m)
    {
        var (r, g, b) = (Linear(c.Red), Linear(c.Green), Linear(c.Blue));
        (r, g, b) = (Math.Clamp(m[0] * r + m[1] * g + m[2] * b, 0, 1), Math.Clamp(m[3] * r + m[4] * g + m[5] * b, 0, 1), Math.Clamp(m[6] * r + m[7] * g + m[8] * b, 0, 1));
        // sRGB to XYZ (IEC 61966-2-1), white point D65.
        var x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
        var y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        var z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
        double F(double t) => t > 0.008856 ? Math.Cbrt(t) : 7.787 * t + 16 / 116.0;
        return (116 * F(y) - 16, 500 * (F(x) - F(y)), 200 * (F(y) - F(z)));
    }
}
