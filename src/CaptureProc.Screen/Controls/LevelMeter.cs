using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;

namespace CaptureProc.Screen.Controls;

/// <summary>A level in dBFS as a bar with a scale, its peak, and a lamp that stays lit after clipping until it is clicked.</summary>
public sealed class LevelMeter : Control
{
    private const float LampHeight = 9;
    private const double TopDb = 0, HotDb = -9;
    private static readonly int[] Marks = [0, -6, -12, -18, -24, -36, -48, -60];
    private static readonly string[] MarkTexts = ["0", "−6", "−12", "−18", "−24", "−36", "−48", "−60"];

    private Ballistics ballistics = new();
    private int barPixels = -1, peakPixels = -1;
    private long clipsShown, clipsSeen;

    /// <summary>RMS and peak since the last look, in dBFS, and how many samples have reached full scale so far.</summary>
    public required Func<(double LevelDb, double PeakDb, long Clips)> Reads { get; init; }

    /// <summary>Numbers beside the bar.</summary>
    public bool HasScale { get; init; }

    public override bool TakesFocus => true;

    public override PointerShape Pointer => PointerShape.Press;

    public bool IsClipLit => clipsSeen > clipsShown;

    private Box Bar => new(HasScale ? Box.X + 24 : Box.X, Box.Y + LampHeight + 2, HasScale ? Box.Width - 24 : Box.Width, Box.Height - LampHeight - 2);

    public override void Refresh(long milliseconds)
    {
        var (level, peak, clips) = Reads();
        ballistics.Move(level, peak, milliseconds);
        var scale = Scene?.Scale ?? 1;
        var (bar, tip) = ((int)(Place(ballistics.LevelDb) * Bar.Height * scale), (int)(Place(ballistics.PeakDb) * Bar.Height * scale));
        if (bar == barPixels && tip == peakPixels && clips == clipsSeen)
            return;
        (barPixels, peakPixels, clipsSeen) = (bar, tip, clips);
        Invalidate();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        canvas.FillRound(Bar, 2, palette.Well);
        for (var i = 0; i < Marks.Length; i++)
        {
            var y = Bar.Bottom - (float)Place(Marks[i]) * Bar.Height;
            canvas.Hairline(Bar.X, y, Bar.Right, y, palette.Edge);
            // Every other number, or they would touch in the lower part.
            if (HasScale && Marks[i] is 0 or -12 or -24 or -36 or -60)
                canvas.Text(MarkTexts[i], Bar.X - 5, Math.Min(y, Bar.Bottom - 4), 11, palette.Soft, Align.Right);
        }
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var lamp = new Box(Bar.X, Box.Y, Bar.Width, LampHeight);
        canvas.FillRound(lamp, 2, IsClipLit ? palette.Bad : palette.Well);
        if (IsClipLit)
        {
            // A shape too: lit is not only another colour.
            canvas.Line(lamp.CentreX - 3, lamp.Y + 2, lamp.CentreX + 3, lamp.Bottom - 2, 1.6f, palette.Ink);
            canvas.Line(lamp.CentreX - 3, lamp.Bottom - 2, lamp.CentreX + 3, lamp.Y + 2, 1.6f, palette.Ink);
        }
        var bar = Bar;
        var height = (float)Place(ballistics.LevelDb) * bar.Height;
        if (height > 0)
        {
            canvas.Fill(new Box(bar.X + 2, bar.Bottom - height, bar.Width - 4, height), palette.Sound);
            var hot = height - (float)Place(HotDb) * bar.Height;
            if (hot > 0)
                canvas.Fill(new Box(bar.X + 2, bar.Bottom - height, bar.Width - 4, hot), palette.Hot);
        }
        var peak = (float)Place(ballistics.PeakDb) * bar.Height;
        if (peak > 0)
            canvas.Fill(new Box(bar.X, bar.Bottom - peak, bar.Width, 2), ballistics.PeakDb >= HotDb ? palette.Hot : palette.Ink);
    }

    public override bool OnPress(MousePoint at)
    {
        Forget();
        return false;
    }

    public override bool OnKey(KeyPress key)
    {
        if (key.Key != Key.Enter && !(key.Key == Key.Character && key.Character == ' '))
            return false;
        Forget();
        return true;
    }

    private void Forget()
    {
        clipsShown = clipsSeen;
        Invalidate();
    }

    /// <summary>0…1 up the bar: the upper 24 dB take six tenths of it.</summary>
    private static double Place(double db)
    {
        const double knee = -24, bottom = -60, kneeAt = 0.4;
        return db >= TopDb ? 1 : db >= knee ? kneeAt + (1 - kneeAt) * (db - knee) / -knee : db > bottom ? kneeAt * (db - bottom) / (knee - bottom) : 0;
    }
}
