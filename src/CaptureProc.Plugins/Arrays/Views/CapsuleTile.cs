using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Plugins.Arrays.Views;

/// <summary>The name plate of a capsule: what it is called, its channel, and an arrow the way that it looks.</summary>
/// <remarks>The arrow is seen from above; a short bar across its foot or its tip tells whether it looks down or up.</remarks>
internal sealed class CapsuleTile(int channel) : Control
{
    private string label = "";
    private double azimuthDeg, elevationDeg;

    /// <summary>Where the capsule on this channel looks.</summary>
    public void Show(string capsule, double azimuth, double elevation)
    {
        if (capsule == label && azimuth == azimuthDeg && elevation == elevationDeg)
            return;
        (label, azimuthDeg, elevationDeg) = (capsule, azimuth, elevation);
        Scene?.RenewGround();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Box, 6, palette.Ground);
        canvas.FrameRound(Box, 6, palette.LineWidth, palette.Edge);
        canvas.Text(label, Box.X + 12, Box.Y + 18, 16, palette.Ink, isBold: true);
        Span<char> text = stackalloc char[16];
        "Ch ".CopyTo(text);
        text[3] = (char)('1' + channel);
        canvas.Text(text[..4], Box.X + 12, Box.Y + 37, 12, palette.Soft);
        var (x, y, length) = (Box.X + 84, Box.Y + 26, 15f);
        canvas.Ring(x, y, length + 2, 1, palette.Edge);
        // Front is up, left is left.
        var (sin, cos) = MathF.SinCos((float)(azimuthDeg * Math.PI / 180));
        var (tipX, tipY) = (x - sin * length, y - cos * length);
        canvas.Line(x, y, tipX, tipY, 2.4f, palette.Hand);
        canvas.Disc(tipX, tipY, 3, palette.Hand);
        canvas.Text(elevationDeg > 1 ? "up" : elevationDeg < -1 ? "down" : "level", x, y + length + 12, 11, palette.Soft, Align.Centre);
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
    }
}
