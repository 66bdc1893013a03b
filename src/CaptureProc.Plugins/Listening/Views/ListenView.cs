using CaptureProc.Plugins.Views;
using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using static CaptureProc.Plugins.Listening.ListenParameters;

namespace CaptureProc.Plugins.Listening.Views;

/// <summary>The window of the listen plug-ins: the head, the pair, and how loud it is.</summary>
internal sealed class ListenView : LinkedView
{
    private const float Wide = 900, High = 520;

    private static readonly Box HeadBox = new(Margin, 60, 402, 446), WayBox = new(426, 60, 238, 446), LoudBox = new(674, 60, 212, 446);

    private readonly ListenEffect effect;
    private readonly List<Control> ofPair = [], ofHead = [], ofCapsules = [];
    private double seenWay = -1;

    public ListenView(ListenEffect effect, bool hasCapsules, WindowPreferences preferences, string title)
        : base(effect.Host, effect.NamesVersion, preferences, Wide, High, title, 116)
    {
        this.effect = effect;
        AddHeadChoice();
        AddRightEnd(Bypass);
        AddHead();
        AddWays(hasCapsules);
        AddLoudness();
    }

    protected override void Watch(bool on)
    {
        effect.Peaks.IsWatched = on;
        effect.Loudness.IsWatched = on;
    }

    protected override void Prepare(long milliseconds)
    {
        base.Prepare(milliseconds);
        var way = Host.Plain(ListenAs);
        if (way == seenWay)
            return;
        seenWay = way;
        Dim(way);
    }

    // What does not act just now is dimmed, not hidden: it can be set before it is needed. Apart from Prepare, whose frames make no closures.
    private void Dim(double way)
    {
        ofHead.ForEach(control => control.IsEnabled = way == Binaural);
        ofPair.ForEach(control => control.IsEnabled = way == Pair);
        ofCapsules.ForEach(control => control.IsEnabled = way == Capsules);
    }

    protected override void DrawBackground(Canvas canvas, Palette palette)
    {
        base.DrawBackground(canvas, palette);
        DrawPanel(canvas, palette, HeadBox, "Listener");
        DrawPanel(canvas, palette, WayBox, "Heard as");
        DrawPanel(canvas, palette, LoudBox, "Loudness");
        canvas.Hairline(LoudBox.X + 14, LoudBox.Y + 272, LoudBox.Right - 14, LoudBox.Y + 272, palette.Edge);
    }

    private void AddHeadChoice()
    {
        var x = Margin + 116;
        ofHead.Add(Scene.Add(new ChoiceBox(new ParameterValue(this, Host, Head) { IsOnOffer = choice => effect.IsOnOffer(Head, choice) })
        {
            Box = new Box(x, 10, 230, 28), Caption = "Head", Tip = "The ears to listen through. 'captureproc head' offers others.",
        }));
        Scene.Add(new Label
        {
            Box = new Box(x + 242, 10, 280, 28), HasSign = true, Name = "Head status", Says = () => WordOf(HeadStatus),
            Tone = () => Host.Shown(HeadStatus) switch { < 0.5 => Tone.Good, < 1.5 => Tone.Soft, _ => Tone.Doubt },
        });
    }

    private void AddHead()
    {
        Scene.Add(new HeadPicture(ValueOf(Yaw), ValueOf(Pitch), ValueOf(Roll))
        {
            Box = new Box(HeadBox.X + 10, HeadBox.Y + 32, HeadBox.Width - 20, 252), Name = "Listener's head",
            Tip = "Drag to turn and tip the head; the right picture rolls it. Arrow keys turn by 5°, with Shift by 1°, with Control they roll. Double click looks ahead.",
        });
        var (x, y) = (HeadBox.X + 15, HeadBox.Y + 304);
        Scene.Add(new Dial(ValueOf(Yaw)) { Box = new Box(x, y, 96, 124), Caption = "Yaw", IsCompass = true, Tip = "Turns the head to the left." });
        Scene.Add(new Dial(ValueOf(Pitch)) { Box = new Box(x + 138, y, 96, 124), Caption = "Pitch", IsCompass = true, Tip = "Tips the head." });
        Scene.Add(new Dial(ValueOf(Roll)) { Box = new Box(x + 276, y, 96, 124), Caption = "Roll", IsCompass = true, Tip = "Leans the head." });
    }

    private void AddWays(bool hasCapsules)
    {
        var (x, y, width) = (WayBox.X + 14, WayBox.Y + 36, WayBox.Width - 28);
        Scene.Add(new Segments(ValueOf(ListenAs), hasCapsules ? ["Binaural", "Pair", "Capsules"] : ["Binaural", "Pair"])
        {
            Box = new Box(x, y, width, 28), Tip = hasCapsules ? "Through ears, as a coincident pair, or two capsules as they are." : "Through ears, or as a coincident pair.",
        });
        ofPair.Add(Scene.Add(new PairPicture(() => Host.Plain(Angle), () => Host.Plain(Pattern), () => Host.Plain(AimAzimuth))
        {
            Box = new Box(x, y + 36, width, 168), Name = "Patterns of the pair", Tip = "Left drawn through, right dotted; seen from above.",
        }));
        ofPair.Add(Scene.Add(new NumberBox(ValueOf(Angle)) { Box = new Box(x, y + 212, width, 26), Caption = "Angle between", Tip = "Angle between the two axes." }));
        ofPair.Add(Scene.Add(new NumberBox(ValueOf(Pattern)) { Box = new Box(x, y + 242, width, 26), Caption = "Pattern", Tip = "0 figure-eight, 0.5 cardioid, 1 omni." }));
        ofPair.Add(Scene.Add(new NumberBox(ValueOf(AimAzimuth)) { Box = new Box(x, y + 272, width, 26), Caption = "Aim: azimuth", Tip = "Where the middle between the axes looks." }));
        ofPair.Add(Scene.Add(new NumberBox(ValueOf(AimElevation)) { Box = new Box(x, y + 302, width, 26), Caption = "Aim: elevation", Tip = "How high it looks." }));
        if (!hasCapsules)
            return;
        ofCapsules.Add(Scene.Add(new ChoiceBox(ValueOf(LeftCapsule)) { Box = new Box(x, y + 340, width, 26), Caption = "Left ear", Tip = "The capsule for the left ear." }));
        ofCapsules.Add(Scene.Add(new ChoiceBox(ValueOf(RightCapsule)) { Box = new Box(x, y + 370, width, 26), Caption = "Right ear", Tip = "The capsule for the right ear." }));
    }

    private void AddLoudness()
    {
        var (x, y, width) = (LoudBox.X + 14, LoudBox.Y, LoudBox.Width - 28);
        Scene.Add(new PushButton("Begin anew", effect.Loudness.Begin)
        {
            Box = new Box(LoudBox.Right - 104, y + 6, 90, 24), Tip = "Starts the integrated loudness and the highest peak afresh.",
        });
        Scene.Add(new LoudnessPicture(effect.Loudness)
        {
            Box = new Box(x, y + 36, width, 226), Name = "Loudness", Tip = "By ITU-R BS.1770 and EBU R 128, of what is heard, since the window was opened. The green line is −23 LUFS.",
        });
        for (var i = 0; i < 2; i++)
        {
            Scene.Add(new LevelMeter
            {
                Box = i == 0 ? new Box(x, y + 284, 50, 148) : new Box(x + 56, y + 284, 26, 148), HasScale = i == 0,
                Reads = LevelShown.Of(Host, i == 0 ? LevelLeft : LevelRight, effect.Peaks, i), Name = i == 0 ? "Level left" : "Level right",
                Tip = "RMS and peak of an ear. A cross stays lit after clipping until it is clicked.",
            });
        }
        Scene.Add(new Dial(ValueOf(Gain)) { Box = new Box(x + 92, y + 296, 92, 120), Caption = "Gain", Tip = "Gain of both ears." });
    }
}
