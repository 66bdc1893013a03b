using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Arrays.Views;

/// <summary>The four gains on a band of the tolerance: a mark each with its 95 % interval, and what can be said of it.</summary>
/// <remarks>The band is drawn three tolerances wide to either side; what lies beyond is drawn at the edge, with an arrow.</remarks>
internal sealed class LineUpBand(EffectHost host) : Control
{
    private const int Channels = LineUpParameters.Channels;
    private const double Tolerances = 3;

    private readonly double[] difference = new double[Channels], uncertainty = new double[Channels], verdict = new double[Channels];
    private double tolerance = double.NaN;

    private float RowHeight => (Box.Height - 18) / Channels;

    public override void Refresh(long milliseconds)
    {
        var isNew = false;
        for (var i = 0; i < Channels; i++)
        {
            isNew |= Take(ref difference[i], host.Shown(LineUpParameters.Difference + i));
            isNew |= Take(ref uncertainty[i], host.Shown(LineUpParameters.Uncertainty + i));
            isNew |= Take(ref verdict[i], host.Shown(LineUpParameters.Verdict + i));
        }
        isNew |= Take(ref tolerance, host.Plain(LineUpParameters.Tolerance));
        if (isNew)
            Invalidate();
    }

    public override void Draw(Canvas canvas, Palette palette)
    {
        var track = new Box(Box.X + 44, Box.Y, Box.Width - 44 - 226, Box.Height - 18);
        canvas.FillRound(track, 4, palette.Well);
        var (low, high) = (PlaceOf(track, -tolerance), PlaceOf(track, tolerance));
        canvas.Fill(new Box(low, track.Y, high - low, track.Height), palette.Good.Faded(0.16f));
        canvas.Hairline(low, track.Y, low, track.Bottom, palette.Good);
        canvas.Hairline(high, track.Y, high, track.Bottom, palette.Good);
        canvas.Hairline(track.CentreX, track.Y, track.CentreX, track.Bottom, palette.Faint);
        Span<char> text = stackalloc char[32];
        for (var step = -2; step <= 2; step++)
        {
            var db = step * tolerance;
            var count = Numbers.Write(db, 2, text, withPlus: true);
            canvas.Text(text[..count], PlaceOf(track, db), track.Bottom + 10, 11, palette.Soft, Align.Centre);
        }
        for (var channel = 0; channel < Channels; channel++)
            DrawRow(canvas, palette, track, channel, text);
    }

    private void DrawRow(Canvas canvas, Palette palette, Box track, int channel, Span<char> text)
    {
        var y = track.Y + (channel + 0.5f) * RowHeight;
        "Ch ".CopyTo(text);
        text[3] = (char)('1' + channel);
        canvas.Text(text[..4], Box.X, y, 13, palette.Ink);
        var said = (LineUpVerdict)(int)verdict[channel];
        var tone = ToneOf(said);
        var hasNumber = said is not (LineUpVerdict.NotMeasured or LineUpVerdict.NoSignal or LineUpVerdict.Clipped);
        var colour = said == LineUpVerdict.Reference ? palette.Soft : Sign.ColourOf(palette, tone);
        if (hasNumber)
        {
            var x = PlaceOf(track, difference[channel]);
            var (from, to) = (PlaceOf(track, difference[channel] - uncertainty[channel]), PlaceOf(track, difference[channel] + uncertainty[channel]));
            canvas.Line(from, y, to, y, 2, colour);
            canvas.Line(from, y - 4, from, y + 4, 1.6f, colour);
            canvas.Line(to, y - 4, to, y + 4, 1.6f, colour);
            if (Math.Abs(difference[channel]) > Tolerances * tolerance)
            {
                var way = difference[channel] > 0 ? -6 : 6;
                canvas.Line(x, y, x + way, y - 5, 2.2f, colour);
                canvas.Line(x, y, x + way, y + 5, 2.2f, colour);
            }
            else
            {
                canvas.Disc(x, y, 5, colour);
                canvas.Ring(x, y, 5, 1.4f, palette.Ground);
            }
            var count = Numbers.Write(difference[channel], 3, text, withPlus: true);
            count = Numbers.Append(" ± ", text, count);
            count += Numbers.Write(uncertainty[channel], 3, text[count..]);
            canvas.Text(text[..count], track.Right + 112, y, 12.5f, palette.Ink, Align.Right);
        }
        if (tone != Tone.Plain)
            Sign.Draw(canvas, palette, tone, track.Right + 126, y);
        canvas.TextWithin(LineUpWords.Verdicts[(int)said], new Box(track.Right + 138, y - 9, Box.Right - track.Right - 138, 18), 12, palette.Soft);
    }

    private float PlaceOf(Box track, double db) => track.CentreX + (float)Math.Clamp(db / (Tolerances * tolerance), -1, 1) * (track.Width / 2 - 6);

    private static Tone ToneOf(LineUpVerdict verdict) => verdict switch
    {
        LineUpVerdict.Within => Tone.Good,
        LineUpVerdict.CannotTell or LineUpVerdict.WithinInverted => Tone.Doubt,
        LineUpVerdict.Out or LineUpVerdict.OutInverted or LineUpVerdict.Clipped => Tone.Bad,
        LineUpVerdict.Reference => Tone.Plain,
        _ => Tone.Soft,
    };

    private static bool Take(ref double shown, double now)
    {
        if (shown.Equals(now))
            return false;
        shown = now;
        return true;
    }
}
