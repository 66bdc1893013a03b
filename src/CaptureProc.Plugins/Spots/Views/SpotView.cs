using CaptureProc.Plugins.Views;
using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using static CaptureProc.Plugins.Spots.SpotParameters;

namespace CaptureProc.Plugins.Spots.Views;

/// <summary>The window of the spot plug-ins: the place on the stage, the delay and where it comes from, polarity, gain, level.</summary>
internal sealed class SpotView : LinkedView
{
    private const float Wide = 900, High = 606;

    private static readonly Box StageBox = new(Margin, 60, 430, 532), DelayBox = new(454, 60, 432, 374), SoundBox = new(454, 444, 432, 148);

    private readonly SpotEffect effect;
    private readonly SpotParameters parameters;
    private readonly StagePlan stage;
    private readonly SlatePicture slate;
    private SpotShown shown = SpotShown.None;
    private (int Names, double Spot, double Array) seen = (-1, -1, -1);
    private NumberBox? byHandDelay, azimuth, elevation;

    public SpotView(SpotEffect effect, SpotParameters parameters, WindowPreferences preferences, string title)
        : base(effect.Host, effect.NamesVersion, preferences, Wide, High, title, 20 + 11.5f * title.Length)
    {
        (this.effect, this.parameters) = (effect, parameters);
        AddStrip(SpotParameters.Session, Follow, Status, Bypass, choice => effect.IsOnOffer(SpotParameters.Session, choice));
        var isPlacing = parameters.Azimuth >= 0;
        stage = Scene.Add(new StagePlan(isPlacing ? ValueOf(parameters.Azimuth) : null, () => isPlacing && Host.Plain(parameters.DirectionFrom) >= 0.5)
        {
            Box = new Box(StageBox.X + 10, StageBox.Y + 30, StageBox.Width - 20, isPlacing ? StageBox.Height - 84 : StageBox.Height - 44), Name = "Stage from above",
            Tip = "The array in the middle, the spot where it was measured; the lit piece is where it may be. Set by hand, the mark can be dragged.",
        });
        slate = Scene.Add(new SlatePicture
        {
            Box = new Box(DelayBox.X + 14, DelayBox.Y + 172, DelayBox.Width - 28, 116), Name = "Clap in spot and array",
            Tip = "The best clap of this spot as it was recorded, and with the measured delay. Each trace is drawn at its own full height.",
        });
        AddDelay();
        AddSound();
        if (isPlacing)
            AddDirection();
    }

    protected override void Watch(bool on) => effect.Peaks.IsWatched = on;

    protected override void Prepare(long milliseconds)
    {
        base.Prepare(milliseconds);
        if (byHandDelay != null)
            byHandDelay.IsEnabled = Host.Plain(DelayFrom) >= 0.5;
        if (azimuth != null && elevation != null)
            azimuth.IsEnabled = elevation.IsEnabled = Host.Plain(parameters.DirectionFrom) >= 0.5;
        var now = (NamesVersion, Host.Plain(Spot), Host.Plain(parameters.LineUpWith));
        if (now == seen)
            return;
        seen = now;
        shown = effect.SpotNow();
        stage.Show(shown);
        slate.Show(shown.Spot);
    }

    protected override void DrawBackground(Canvas canvas, Palette palette)
    {
        base.DrawBackground(canvas, palette);
        DrawPanel(canvas, palette, StageBox, "Place on the stage");
        DrawPanel(canvas, palette, DelayBox, "Delay");
        DrawPanel(canvas, palette, SoundBox, "Sound");
        canvas.Text("Polarity", SoundBox.X + 14, SoundBox.Y + 44, 12, palette.Soft);
        if (parameters.Field >= 0)
            canvas.Text("Four channels", SoundBox.X + 14, SoundBox.Y + 96, 12, palette.Soft);
        canvas.Hairline(DelayBox.X + 14, DelayBox.Y + 296, DelayBox.Right - 14, DelayBox.Y + 296, palette.Edge);
    }

    private void AddDelay()
    {
        var (x, y, width) = (DelayBox.X + 14, DelayBox.Y, DelayBox.Width - 28);
        Scene.Add(new ChoiceBox(new ParameterValue(this, Host, Spot) { IsOnOffer = choice => effect.IsOnOffer(Spot, choice) })
        {
            Box = new Box(x, y + 36, 210, 28), Caption = "Spot", Tip = "The spot of the session that is on this track.",
        });
        Scene.Add(new ChoiceBox(new ParameterValue(this, Host, parameters.LineUpWith) { IsOnOffer = choice => effect.IsOnOffer(parameters.LineUpWith, choice) })
        {
            Box = new Box(x + 218, y + 36, width - 218, 28), Caption = "Line up with", Tip = "The array whose measured delays play.",
        });
        Scene.Add(new DelayPicture(() => Host.Shown(DelayInUse), () => effect.SampleRateNowHz, () => shown.SpeedOfSoundMps)
        {
            Box = new Box(x, y + 78, width, 40), Name = "Delay in use", Tip = "What the spot waits, 'Later by' included; the latency of the plug-in is not counted.",
        });
        Scene.Add(new Label
        {
            Box = new Box(x, y + 124, width, 22), HasSign = true, Says = () => shown.Source, Tone = () => ToneOf(Host.Shown(Measured)), Name = "Where the delay comes from",
        });
        Scene.Add(new Label
        {
            Box = new Box(x + 20, y + 146, width - 20, 20), Says = () => Advice[(int)Host.Shown(Measured)], Tone = () => Tone.Soft, Size = 12.5f, Name = "Spot status",
        });
        Scene.Add(new Segments(ValueOf(DelayFrom), "Session", "By hand")
        {
            Box = new Box(x, y + 306, 210, 28), Tip = "Plays the measured delay, or the one set beside.",
        });
        byHandDelay = Scene.Add(new NumberBox(ValueOf(DelayByHand)) { Box = new Box(x + 218, y + 306, width - 218, 28), Caption = "By hand", Tip = "A delay of your own; negative is earlier." });
        Scene.Add(new NumberBox(ValueOf(LaterBy))
        {
            Box = new Box(x + 218, y + 338, width - 218, 28), Caption = "Later by", Tip = "Holds the spot back further, behind the array's direct sound.",
        });
    }

    private void AddSound()
    {
        var (x, y) = (SoundBox.X + 14, SoundBox.Y);
        Scene.Add(new Segments(ValueOf(Polarity), "Measured", "Normal", "Inverted")
        {
            Box = new Box(x, y + 56, 246, 28), Tip = "Polarity against the array: as the claps told, or as you say.",
        });
        if (parameters.Field >= 0)
        {
            Scene.Add(new Segments(ValueOf(parameters.Field), "As they are", "To B-format")
            {
                Box = new Box(x, y + 108, 246, 28), Tip = "Four capsules can be encoded like the main array.",
            });
        }
        Scene.Add(new Dial(ValueOf(Gain)) { Box = new Box(SoundBox.Right - 104, y + 28, 90, 110), Caption = "Gain", Tip = "Gain of the spot." });
        Scene.Add(new LevelMeter
        {
            Box = new Box(x + 252, y + 22, 58, 116), HasScale = true, Reads = LevelShown.Of(Host, Level, effect.Peaks, 0), Name = "Level",
            Tip = "RMS and peak of the first output. A cross stays lit after clipping until it is clicked.",
        });
    }

    private void AddDirection()
    {
        var (x, y) = (StageBox.X + 14, StageBox.Bottom - 42);
        Scene.Add(new Segments(ValueOf(parameters.DirectionFrom), "Session", "By hand")
        {
            Box = new Box(x, y, 200, 28), Tip = "Places the spot where it was measured, or where you put it.",
        });
        azimuth = Scene.Add(new NumberBox(ValueOf(parameters.Azimuth)) { Box = new Box(x + 208, y, 94, 28), Caption = "az", Tip = "Azimuth, to the left." });
        elevation = Scene.Add(new NumberBox(ValueOf(parameters.Elevation)) { Box = new Box(x + 310, y, 92, 28), Caption = "el", Tip = "Elevation, upwards." });
    }

    // By the numbers of the status: what to do about it.
    private static readonly string[] Advice =
    [
        "Choose the spot that is on this track.", "", "Uncertain: clap again close by, or line it up by ear.",
        "It plays without a delay: 'measure' it, or set one by hand.", "No delay plays: not in the session.",
        "No delay plays: it is out of range (−10 to 500 ms).",
    ];

    private static Tone ToneOf(double status) => (SpotStatus)(int)status switch
    {
        SpotStatus.Measured => Tone.Good,
        SpotStatus.NoSpot => Tone.Soft,
        SpotStatus.Uncertain => Tone.Doubt,
        _ => Tone.Bad,
    };
}
