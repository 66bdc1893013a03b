using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Plugins.Spots.Views;

/// <summary>The stage seen from above, with the array in the middle and the chosen spot where it was measured.</summary>
/// <remarks>
/// The lit piece is where the spot may be: three times the uncertainty of its direction to either side. A class that places its spot can be
/// given another direction by dragging the mark; its distance is the measured one, which placing does not change.
/// </remarks>
internal sealed class StagePlan(ControlValue? azimuth, Func<bool> isByHand) : Control
{
    private const float EdgeRoom = 36;
    private const double LeastMetres = 2, UsualMetres = 3;

    private SpotShown shown = SpotShown.None;
    private double handAzimuth = double.NaN;
    private double reachM = LeastMetres;
    private bool byHand, isHeld;

    public override bool TakesFocus => azimuth != null;

    public override ControlValue? Value => azimuth;

    public override PointerShape Pointer => azimuth != null && byHand ? PointerShape.Grab : PointerShape.Arrow;

    private float Radius => Math.Min(Box.Width, Box.Height) / 2 - EdgeRoom;

    public void Show(SpotShown next)
    {
        shown = next;
        var far = LeastMetres;
        foreach (var place in next.Others)
            far = Math.Max(far, place.DistanceM ?? 0);
        reachM = Math.Ceiling(far * 1.1);
        Scene?.RenewGround();
    }

    public override void Refresh(long milliseconds)
    {
        var (now, hand) = (azimuth?.Now ?? 0, isByHand());
        if (now.Equals(handAzimuth) && hand == byHand)
            return;
        (handAzimuth, byHand) = (now, hand);
        Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        var (x, y, radius) = (Box.CentreX, Box.CentreY, Radius);
        canvas.Disc(x, y, radius, palette.Well);
        var step = reachM > 12 ? 5 : reachM > 5 ? 2 : 1;
        Span<char> text = stackalloc char[16];
        for (var metres = step; metres <= reachM; metres += step)
        {
            var ring = RadiusOf(metres);
            canvas.Ring(x, y, ring, 1, palette.Edge);
            var count = Numbers.Append(" m", text, Numbers.Write(metres, 0, text));
            canvas.Text(text[..count], x + ring * 0.707f + 3, y + ring * 0.707f + 5, 11, palette.Faint);
        }
        for (var degrees = 0; degrees < 360; degrees += 30)
        {
            var (sin, cos) = MathF.SinCos(degrees * MathF.PI / 180);
            canvas.Line(x - sin * radius * 0.96f, y - cos * radius * 0.96f, x - sin * radius, y - cos * radius, degrees % 90 == 0 ? 2 : 1, palette.Faint);
        }
        canvas.Text("front", x, y - radius - 12, 12, palette.Soft, Align.Centre);
        canvas.Text("back", x, y + radius + 13, 12, palette.Soft, Align.Centre);
        canvas.Text("left", x - radius - 6, y, 12, palette.Soft, Align.Right);
        canvas.Text("right", x + radius + 6, y, 12, palette.Soft);
        // The array: four capsules.
        canvas.Disc(x, y, 8, palette.Panel);
        foreach (var (dx, dy) in (ReadOnlySpan<(float, float)>)[(-3, -3), (3, -3), (-3, 3), (3, 3)])
            canvas.Disc(x + dx, y + dy, 2, palette.Ink);
        foreach (var place in shown.Others)
        {
            if (place.AzimuthDeg is not { } at || place.Name == shown.Spot?.Id)
                continue;
            var (px, py) = PointOf(at, place.DistanceM ?? UsualMetres);
            canvas.Ring(px, py, 3.5f, 1.4f, palette.Soft);
            canvas.Text(place.Name, px, py - 11, 11, palette.Soft, Align.Centre);
        }
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        // With two marks the names stand away from each other: −1 to the left, 1 to the right, 0 above.
        var handSide = byHand && shown.Spot?.Direction is { } measured && Math.IEEERemainder(handAzimuth - measured.AzimuthDeg, 360) < 0 ? 1 : -1;
        if (shown.Spot is { Direction: { } direction } spot)
        {
            var distance = spot.DistanceM ?? UsualMetres;
            var spread = (float)Math.Clamp(3 * (direction.UncertaintyDeg ?? 0), 1, 90);
            if (!byHand)
                canvas.Sector(Box.CentreX, Box.CentreY, Radius, -90 - (float)direction.AzimuthDeg - spread, 2 * spread, palette.Sound.Faded(0.2f));
            DrawMark(canvas, palette, direction.AzimuthDeg, distance, byHand ? palette.Soft : palette.Sound, spot.Id, byHand ? -handSide : 0);
        }
        if (byHand)
            DrawMark(canvas, palette, handAzimuth, shown.Spot?.DistanceM ?? UsualMetres, palette.Hand, "by hand", shown.Spot?.Direction is null ? 0 : handSide);
    }

    public override bool OnPress(MousePoint at)
    {
        if (azimuth == null || !byHand)
            return false;
        isHeld = true;
        azimuth.Hold();
        OnDrag(at);
        return true;
    }

    public override void OnDrag(MousePoint at)
    {
        if (isHeld)
            azimuth!.Set(Math.Round(Math.Atan2(Box.CentreX - at.X, Box.CentreY - at.Y) * 180 / Math.PI, 1));
    }

    public override void OnRelease(MousePoint at)
    {
        if (!isHeld)
            return;
        isHeld = false;
        azimuth!.Release();
    }

    public override bool OnWheel(MousePoint at, double steps)
    {
        if (azimuth == null || !byHand)
            return false;
        Turn(at.IsFine ? steps * 0.1 : steps);
        return true;
    }

    public override bool OnKey(KeyPress key)
    {
        if (azimuth == null || !byHand || key.Key is not (Key.Left or Key.Right))
            return false;
        Turn((key.Key == Key.Left ? 1 : -1) * (key.IsFine ? 0.1 : 1));
        return true;
    }

    private void Turn(double degrees) => azimuth!.Change(Math.Round(Math.IEEERemainder(azimuth.Now + degrees, 360), 1));

    private void DrawMark(Canvas canvas, Palette palette, double azimuthDeg, double distanceM, Colour colour, string name, int side)
    {
        var (x, y) = PointOf(azimuthDeg, distanceM);
        canvas.Line(Box.CentreX, Box.CentreY, x, y, 1.4f, colour.Faded(0.7f));
        canvas.Disc(x, y, 7, colour);
        canvas.Ring(x, y, 7, 1.6f, palette.Ground);
        canvas.Text(name, x + 13 * side, side == 0 ? y - 16 : y, 13, palette.Ink, side < 0 ? Align.Right : side > 0 ? Align.Left : Align.Centre, isBold: true);
    }

    private (float X, float Y) PointOf(double azimuthDeg, double distanceM)
    {
        var (sin, cos) = Math.SinCos(azimuthDeg * Math.PI / 180);
        var radius = RadiusOf(distanceM);
        return (Box.CentreX - (float)sin * radius, Box.CentreY - (float)cos * radius);
    }

    private float RadiusOf(double metres) => (float)Math.Min(1, metres / reachM) * Radius;
}
