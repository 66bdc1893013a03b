using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Session;

namespace CaptureProc.Plugins.Spots.Views;

/// <summary>The clap in the spot and in the array: as it was recorded, one after the other, and lined up, one over the other.</summary>
/// <remarks>It stands still until the session or the choice is another, so it is drawn with the ground.</remarks>
internal sealed class SlatePicture : Control
{
    private const float Gap = 10, CaptionHeight = 20;

    private SlateTraces? slate;
    private double delayMs;
    private Trace[] recorded = [], linedUp = [];

    /// <summary>Shows the picture that belongs to a spot's delay; one of another delay is none.</summary>
    public void Show(SpotEntry? spot)
    {
        slate = spot is { Delay: { } delay, Slate: { } picture } && picture.DelaySamples == delay.Samples ? picture : null;
        delayMs = spot?.Delay?.Ms ?? 0;
        (recorded, linedUp) = slate is null ? ([], []) : (Traces(slate.Recorded), Traces(slate.LinedUp));
        Scene?.RenewGround();
    }

    public override void DrawGround(Canvas canvas, Palette palette)
    {
        var width = (Box.Width - Gap) / 2;
        var (left, right) = (new Box(Box.X, Box.Y, width, Box.Height - CaptionHeight), new Box(Box.X + width + Gap, Box.Y, width, Box.Height - CaptionHeight));
        if (slate is null)
        {
            var whole = Box with { Height = left.Height };
            canvas.FillRound(whole, 5, palette.Well);
            canvas.Text("The clap that 'measure' finds is drawn here.", whole.CentreX, whole.CentreY, 12, palette.Soft, Align.Centre);
            return;
        }
        canvas.FillRound(left, 5, palette.Well);
        canvas.FillRound(right, 5, palette.Well);
        // As recorded: the spot above, the array below, each with the moment of its arrival.
        var (upper, lower) = (left with { Height = left.Height / 2 }, left with { Y = left.CentreY, Height = left.Height / 2 });
        DrawArrival(canvas, palette.Faint, lower, slate.Recorded, 0);
        DrawArrival(canvas, palette.Faint, upper, slate.Recorded, -delayMs);
        DrawTrace(canvas, palette.Sound, upper, recorded[1]);
        DrawTrace(canvas, palette.Ink, lower, recorded[0]);
        DrawArrival(canvas, palette.Faint, right, slate.LinedUp, 0);
        DrawTrace(canvas, palette.Ink, right, linedUp[0]);
        DrawTrace(canvas, palette.Sound, right, linedUp[1]);
        var y = Box.Bottom - CaptionHeight / 2 + 2;
        Span<char> text = stackalloc char[48];
        canvas.Text(Spanning(text, "as recorded, ", slate.Recorded), left.X + 2, y, 11.5f, palette.Soft);
        canvas.Text(Spanning(text, "lined up, ", slate.LinedUp), right.X + 2, y, 11.5f, palette.Soft);
        var x = right.Right - 2;
        canvas.Text("spot", x, y, 11.5f, palette.Sound, Align.Right);
        canvas.Text("array", x - canvas.WidthOf("spot", 11.5f) - 8, y, 11.5f, palette.Ink, Align.Right);
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
    }

    private static void DrawTrace(Canvas canvas, Colour colour, Box lane, Trace trace)
    {
        for (var i = 0; i < trace.Points.Length; i++)
            trace.Line.Set(i, lane.X + 2 + (lane.Width - 4) * i / Math.Max(1, trace.Points.Length - 1), lane.CentreY - trace.Points[i] * (lane.Height / 2 - 4));
        if (trace.Points.Length > 1)
            canvas.Draw(trace.Line, 1.4f, colour);
    }

    private static void DrawArrival(Canvas canvas, Colour colour, Box lane, TracePair pair, double atMs)
    {
        if (!(pair.ToMs > pair.FromMs) || atMs < pair.FromMs || atMs > pair.ToMs)
            return;
        var x = lane.X + 2 + (lane.Width - 4) * (float)((atMs - pair.FromMs) / (pair.ToMs - pair.FromMs));
        canvas.Hairline(x, lane.Y + 2, x, lane.Bottom - 2, colour);
    }

    private static ReadOnlySpan<char> Spanning(Span<char> text, string word, TracePair pair)
    {
        word.CopyTo(text);
        var count = word.Length + Numbers.Write(pair.ToMs - pair.FromMs, 1, text[word.Length..]);
        return text[..Numbers.Append(" ms", text, count)];
    }

    private static Trace[] Traces(TracePair pair) => [Trace.Of(pair.Array), Trace.Of(pair.Spot)];

    private sealed record Trace(float[] Points, Polyline Line)
    {
        public static Trace Of(string text)
        {
            var points = SlateTrace.ToPoints(text);
            return new Trace(points, new Polyline(points.Length));
        }
    }
}
