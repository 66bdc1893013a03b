using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Vst3.Effects;

namespace CaptureProc.Plugins.Views;

/// <summary>A window with the strip at its head that all plug-ins with a session share: name, session, how it stands, bypass, sizes.</summary>
internal abstract class LinkedView : PluginView
{
    protected const float StripHeight = 48, Margin = 14;

    private readonly string title;
    private readonly float titleWidth;

    protected LinkedView(
        EffectHost host, Func<int> namesVersion, WindowPreferences preferences, float width, float height, string title, float titleWidth)
        : base(host, namesVersion, preferences, width, height) => (this.title, this.titleWidth) = (title, titleWidth);

    protected void AddStrip(int session, int follow, int status, int bypass, Func<int, bool> isSession)
    {
        var x = Margin + titleWidth;
        Scene.Add(new ChoiceBox(new ParameterValue(this, Host, session) { IsOnOffer = isSession })
        {
            Box = new Box(x, 10, 210, 28), Caption = "Session", Tip = "The published session whose measured values play. 'captureproc publish' offers one.",
        });
        Scene.Add(new Switch(ValueOf(follow))
        {
            Box = new Box(x + 222, 10, 96, 28), Caption = "Follow", Tip = "Takes over what is measured later, within two seconds. Off: the values stay, and the line beside says when the file has others.",
        });
        Scene.Add(new Label
        {
            Box = new Box(x + 326, 10, Scene.Width - x - 326 - 206, 28), Name = "Session status", HasSign = true,
            Says = () => SessionAdvice.TextOf(Host.Shown(status)), Tone = () => SessionAdvice.ToneOf(Host.Shown(status)),
            Tip = "How the values in use stand to the session file, and what to do about it.",
        });
        AddRightEnd(bypass);
    }

    protected void AddRightEnd(int bypass)
    {
        Scene.Add(new Switch(ValueOf(bypass))
        {
            Box = new Box(Scene.Width - Margin - 182, 10, 104, 28), Caption = "Bypass", IsWarning = true, Tip = "The inputs as they are, with the same latency.",
        });
        PushButton? button = null;
        button = Scene.Add(new PushButton("Window", () => ShowWindowMenu(button!))
        {
            Box = new Box(Scene.Width - Margin - 70, 10, 70, 28), Tip = "Size of the window, and high contrast.",
        });
    }

    protected override void DrawBackground(Canvas canvas, Palette palette)
    {
        canvas.Text(title, Margin, StripHeight / 2, 19, palette.Ink, isBold: true);
        canvas.Hairline(0, StripHeight, Scene.Width, StripHeight, palette.Edge);
    }
}
