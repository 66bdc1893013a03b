using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Plugins.Listening.Views;

/// <summary>The two patterns of the pair, seen from above: the left one drawn through, the right one dotted.</summary>
internal sealed class PairPicture(Func<double> angleDeg, Func<double> pattern, Func<double> azimuthDeg) : Control
{
    private const int Points = 73;

    private readonly Polyline left = new(Points);
    private double shownAngle = double.NaN, shownPattern, shownAzimuth;

    private float Radius => Math.Min(Box.Width, Box.Height) / 2 - 16;

    public override void Refresh(long milliseconds)
    {
        var (angle, shape, aim) = (angleDeg(), pattern(), azimuthDeg());
        if (angle == shownAngle && shape == shownPattern && aim == shownAzimuth)
            return;
        (shownAngle, shownPattern, shownAzimuth) = (angle, shape, aim);
        Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        canvas.Disc(Box.CentreX, Box.CentreY, Radius, palette.Well);
        canvas.Ring(Box.CentreX, Box.CentreY, Radius, palette.LineWidth, palette.Edge);
        canvas.Ring(Box.CentreX, Box.CentreY, Radius / 2, 1, palette.Edge);
        canvas.Hairline(Box.CentreX - Radius, Box.CentreY, Box.CentreX + Radius, Box.CentreY, palette.Edge);
        canvas.Hairline(Box.CentreX, Box.CentreY - Radius, Box.CentreX, Box.CentreY + Radius, palette.Edge);
        canvas.Text("front", Box.CentreX, Box.CentreY - Radius - 9, 11.5f, palette.Soft, Align.Centre);
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var axis = shownAzimuth + shownAngle / 2;
        for (var i = 0; i < Points; i++)
        {
            var (x, y) = PointOf(axis, i * 360.0 / (Points - 1));
            left.Set(i, x, y);
        }
        var (ofLeft, ofRight) = IsEnabled ? (palette.Sound, palette.Hand) : (palette.Faint, palette.Faint);
        canvas.Draw(left, 2.2f, ofLeft);
        axis = shownAzimuth - shownAngle / 2;
        for (var i = 0; i < Points; i++)
        {
            var (x, y) = PointOf(axis, i * 360.0 / (Points - 1));
            canvas.Disc(x, y, 1.5f, ofRight);
        }
        DrawAxis(canvas, palette, shownAzimuth + shownAngle / 2, ofLeft, "L");
        DrawAxis(canvas, palette, shownAzimuth - shownAngle / 2, ofRight, "R");
    }

    private (float X, float Y) PointOf(double axisDeg, double directionDeg)
    {
        var gain = Math.Abs(shownPattern + (1 - shownPattern) * Math.Cos((directionDeg - axisDeg) * Math.PI / 180));
        var (sin, cos) = Math.SinCos(directionDeg * Math.PI / 180);
        return (Box.CentreX - (float)(sin * gain) * Radius, Box.CentreY - (float)(cos * gain) * Radius);
    }

    private void DrawAxis(Canvas canvas, Palette palette, double axisDeg, Colour colour, string name)
    {
        var (sin, cos) = MathF.SinCos((float)(axisDeg * Math.PI / 180));
        canvas.Line(Box.CentreX, Box.CentreY, Box.CentreX - sin * Radius, Box.CentreY - cos * Radius, 1.2f, colour);
        canvas.Text(name, Box.CentreX - sin * (Radius - 10) + 8, Box.CentreY - cos * (Radius - 10), 12.5f, palette.Ink, Align.Centre, isBold: true);
    }
}
