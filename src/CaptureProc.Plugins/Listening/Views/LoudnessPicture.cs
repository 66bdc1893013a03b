using CaptureProc.Plugins.Watching;
using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;

namespace CaptureProc.Plugins.Listening.Views;

/// <summary>Loudness of what is heard: momentary, short-term and integrated as bars with numbers, and the highest true peak.</summary>
/// <remarks>The scale runs from −59 to −5 LUFS, that is +18 round −23 LUFS (EBU Tech 3341, EBU +18 scale), with the marks of both targets.</remarks>
internal sealed class LoudnessPicture(LoudnessWatch watch) : Control
{
    private const double Lowest = -59, Highest = -5, FullScalePeak = -1;

    private static readonly string[] Names = ["Momentary", "Short-term", "Integrated"];
    private static readonly int[] Marks = [-50, -41, -32, -23, -14];
    private static readonly string[] MarkTexts = ["−50", "−41", "−32", "−23", "−14"];

    private readonly double[] shown = [double.NaN, double.NaN, double.NaN, double.NaN];

    private float RowHeight => (Box.Height - 58) / 3;

    private float BarX => Box.X;

    public override void Refresh(long milliseconds)
    {
        var isNew = Take(0, watch.MomentaryLufs) | Take(1, watch.ShortTermLufs) | Take(2, watch.IntegratedLufs) | Take(3, watch.TruePeakDbtp);
        if (isNew)
            Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        for (var row = 0; row < 3; row++)
        {
            canvas.Text(Names[row], Box.X, BarOf(row).Y - 10, 12.5f, palette.Soft);
            canvas.FillRound(BarOf(row), 3, palette.Well);
            foreach (var mark in Marks)
                canvas.Hairline(PlaceOf(mark), BarOf(row).Y, PlaceOf(mark), BarOf(row).Bottom, mark == -23 ? palette.Good : palette.Edge);
        }
        for (var i = 0; i < Marks.Length; i++)
            canvas.Text(MarkTexts[i], PlaceOf(Marks[i]), BarOf(2).Bottom + 9, 11, palette.Soft, Align.Centre);
        canvas.Text("True peak", Box.X, Box.Bottom - 12, 12.5f, palette.Soft);
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        Span<char> text = stackalloc char[24];
        for (var row = 0; row < 3; row++)
        {
            var bar = BarOf(row);
            var x = PlaceOf(shown[row]);
            if (x > bar.X)
                canvas.Fill(new Box(bar.X, bar.Y + 3, x - bar.X, bar.Height - 6), row == 2 ? palette.Good : palette.Sound);
            var count = Numbers.Append(" LUFS", text, Numbers.Write(shown[row], 1, text));
            canvas.Text(text[..count], Box.Right, bar.Y - 10, 13.5f, palette.Ink, Align.Right, isBold: row == 2);
        }
        var peak = Numbers.Append(" dBTP", text, Numbers.Write(shown[3], 1, text));
        canvas.Text(text[..peak], Box.Right, Box.Bottom - 12, 13.5f, shown[3] > FullScalePeak ? palette.Bad : palette.Ink, Align.Right, isBold: true);
        if (shown[3] > FullScalePeak)
            Sign.Draw(canvas, palette, Tone.Bad, Box.Right - canvas.WidthOf(text[..peak], 13.5f, isBold: true) - 14, Box.Bottom - 12);
    }

    private Box BarOf(int row) => new(BarX, Box.Y + row * RowHeight + 22, Box.Width, Math.Min(16, RowHeight - 26));

    private float PlaceOf(double lufs) => BarX + (float)(Math.Clamp((lufs - Lowest) / (Highest - Lowest), 0, 1) * Box.Width);

    private bool Take(int index, double now)
    {
        var rounded = double.IsFinite(now) ? Math.Round(now, 1) : now;
        if (rounded.Equals(shown[index]))
            return false;
        shown[index] = rounded;
        return true;
    }
}
