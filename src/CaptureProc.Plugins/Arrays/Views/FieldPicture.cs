using CaptureProc.Plugins.Watching;
using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Plugins.Arrays.Views;

/// <summary>The two maps of a field, side by side.</summary>
internal sealed class FieldPicture(FieldWatch watch) : Control
{
    private readonly FieldMap map = new();

    private float Radius => Math.Min(Box.Width / 4 - 19, Box.Height / 2 - 20);

    public override void Refresh(long milliseconds)
    {
        if (map.Move(watch, milliseconds))
            Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        DrawDisc(canvas, palette, Box.X + Box.Width / 4, "front", "L", "R", "from above");
        DrawDisc(canvas, palette, Box.X + 3 * Box.Width / 4, "up", "F", "B", "from the left");
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        DrawCells(canvas, palette, Box.X + Box.Width / 4, isSide: false);
        DrawCells(canvas, palette, Box.X + 3 * Box.Width / 4, isSide: true);
    }

    private void DrawDisc(Canvas canvas, Palette palette, float x, string top, string left, string right, string caption)
    {
        var (y, radius) = (Box.CentreY, Radius);
        canvas.Disc(x, y, radius + 3, palette.Well);
        canvas.Ring(x, y, radius + 3, palette.LineWidth, palette.Edge);
        canvas.Text(top, x, y - radius - 11, 11.5f, palette.Soft, Align.Centre);
        canvas.Text(caption, x, y + radius + 13, 11.5f, palette.Soft, Align.Centre);
        canvas.Text(left, x - radius - 9, y, 11.5f, palette.Soft, Align.Right);
        canvas.Text(right, x + radius + 9, y, 11.5f, palette.Soft);
    }

    private void DrawCells(Canvas canvas, Palette palette, float x, bool isSide)
    {
        var (y, radius) = (Box.CentreY, Radius);
        var cell = 2 * radius / FieldMap.Size;
        for (var row = 0; row < FieldMap.Size; row++)
            for (var column = 0; column < FieldMap.Size; column++)
            {
                if (!FieldMap.IsInside(column, row))
                    continue;
                var shade = isSide ? map.FromSide(column, row) : map.FromAbove(column, row);
                var box = new Box(x - radius + column * cell, y - radius + row * cell, cell, cell);
                if (shade <= 0.02f)
                {
                    // A grain for an empty cell, so that the map is a map also in silence.
                    canvas.Fill(new Box(box.CentreX - 0.6f, box.CentreY - 0.6f, 1.2f, 1.2f), palette.Edge);
                    continue;
                }
                // Stronger is larger and lighter: it reads without its colour.
                var colour = shade < 0.6f ? palette.Sound.Towards(palette.Well, 0.75f * (1 - shade / 0.6f)) : palette.Sound.Towards(palette.Hot, (shade - 0.6f) / 0.4f);
                canvas.Fill(box.Inside(cell * (0.5f - 0.42f * MathF.Sqrt(shade))), colour);
            }
        canvas.Line(x - 4, y, x + 4, y, 1, palette.Faint);
        canvas.Line(x, y - 4, x, y + 4, 1, palette.Faint);
    }
}
