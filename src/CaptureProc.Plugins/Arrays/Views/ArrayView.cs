using CaptureProc.Plugins.Arrays.LineUp;
using CaptureProc.Plugins.Views;
using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Vst3.Effects;
using static CaptureProc.Plugins.Arrays.ArrayParameters;

namespace CaptureProc.Plugins.Arrays.Views;

/// <summary>The window of the array plug-in: capsules, field, comparison of trims, line-up, microphone.</summary>
internal sealed class ArrayView : LinkedView
{
    private const float Wide = 980, High = 664;
    private const int Capsules = 4;

    private static readonly Box CapsulesBox = new(Margin, 60, 348, 398), FieldBox = new(372, 60, 352, 398), TrimsBox = new(734, 60, 232, 398);
    private static readonly Box LineUpBox = new(Margin, 468, 710, 182), MicrophoneBox = new(734, 468, 232, 182);

    private readonly ArrayEffect effect;
    private readonly CapsuleTile[] tiles = new CapsuleTile[Capsules];
    private readonly (LevelMeter Meter, NumberBox Trim, Segments Polarity)[] strips = new (LevelMeter, NumberBox, Segments)[Capsules];
    private readonly List<Control> byHand = [], bySession = [];
    private string[] microphone = ["", "", ""];
    private (int Names, double Source, double Order, double Array) seen = (-1, -1, -1, -1);

    public ArrayView(ArrayEffect effect, WindowPreferences preferences, string title)
        : base(effect.Host, effect.NamesVersion, preferences, Wide, High, title, title.Length > 6 ? 118 : 72)
    {
        this.effect = effect;
        AddStrip(ArrayParameters.Session, Follow, Status, Bypass, choice => effect.IsOnOffer(ArrayParameters.Session, choice));
        AddCapsules();
        AddField();
        AddTrims();
        AddLineUp();
        AddMicrophone();
    }

    protected override void Watch(bool on)
    {
        effect.Sight.Peaks.IsWatched = on;
        effect.Sight.Field.IsWatched = on;
    }

    protected override void Prepare(long milliseconds)
    {
        base.Prepare(milliseconds);
        var now = (NamesVersion, Host.Plain(Source), Host.Plain(Order), Host.Plain(ArrayChoice.Index));
        if (now == seen)
            return;
        seen = now;
        PlaceCapsules();
        microphone = effect.MicrophoneShown();
        // Without a session what was set by hand plays, whatever is chosen.
        var isBySession = now.Item2 < 0.5 && effect.HasArrays;
        foreach (var control in byHand)
            control.IsVisible = !isBySession;
        foreach (var control in bySession)
            control.IsVisible = isBySession;
    }

    protected override void DrawBackground(Canvas canvas, Palette palette)
    {
        base.DrawBackground(canvas, palette);
        DrawPanel(canvas, palette, CapsulesBox, "Capsules, as they look into the room");
        DrawPanel(canvas, palette, FieldBox, "Field");
        DrawPanel(canvas, palette, TrimsBox, "Trims");
        DrawPanel(canvas, palette, LineUpBox, "Line-up");
        DrawPanel(canvas, palette, MicrophoneBox, "Microphone");
        canvas.Text("front", CapsulesBox.CentreX, CapsulesBox.Y + 42, 11.5f, palette.Soft, Align.Centre);
        canvas.Hairline(FieldBox.X + 14, FieldBox.Y + 282, FieldBox.Right - 14, FieldBox.Y + 282, palette.Edge);
        canvas.Hairline(TrimsBox.X + 14, TrimsBox.Y + 132, TrimsBox.Right - 14, TrimsBox.Y + 132, palette.Edge);
    }

    private void AddCapsules()
    {
        for (var i = 0; i < Capsules; i++)
        {
            tiles[i] = Scene.Add(new CapsuleTile(i));
            strips[i] = (
                Scene.Add(new LevelMeter
                {
                    HasScale = true, Reads = LevelShown.Of(Host, CapsuleLevel + i, effect.Sight.Peaks, i), Name = $"Level of capsule {i + 1}",
                    Tip = "RMS after trim and polarity, and the peak of the input. A cross stays lit after clipping until it is clicked.",
                }),
                Scene.Add(new NumberBox(ValueOf(Trim + i)) { WithPlus = true, Tip = "dB to add to this channel by hand, on top of the set in use. Drag, Shift for fine, wheel, or type." }),
                Scene.Add(new Segments(ValueOf(Polarity + i), "+", "−") { Tip = "Inverts this channel." }));
        }
        PlaceCapsules();
    }

    private void PlaceCapsules()
    {
        var capsules = effect.CapsulesShown();
        Span<int> places = stackalloc int[Capsules];
        CapsulePlaces.Find(capsules, places);
        const float width = 162, height = 168;
        for (var i = 0; i < Capsules; i++)
        {
            var x = CapsulesBox.X + 9 + places[i] % 2 * (width + 6);
            var y = CapsulesBox.Y + 50 + places[i] / 2 * (height + 5);
            tiles[i].Box = new Box(x, y, width, height);
            tiles[i].Show(capsules[i].Label, capsules[i].AzimuthDeg, capsules[i].ElevationDeg);
            strips[i].Meter.Box = new Box(x + width - 50, y + 10, 40, height - 20);
            strips[i].Trim.Box = new Box(x + 10, y + 82, 92, 28);
            strips[i].Polarity.Box = new Box(x + 10, y + 122, 92, 26);
        }
        Scene.RenewGround();
    }

    private void AddField()
    {
        Scene.Add(new FieldPicture(effect.Sight.Field)
        {
            Box = new Box(FieldBox.X + 8, FieldBox.Y + 34, FieldBox.Width - 16, 180), Name = "Energy map",
            Tip = "Where sound has come from within the last second, 300 Hz to 3 kHz, before the turn. Larger and lighter is stronger; the range is 18 dB.",
        });
        Scene.Add(new BalanceBar("front", "back", 15, () => Host.Shown(FrontBack))
        {
            Box = new Box(FieldBox.X + 26, FieldBox.Y + 228, FieldBox.Width - 52, 40), Name = "Front against back",
            Tip = "Energy from ahead against energy from behind, over three seconds. A diffuse field stands in the middle.",
        });
        var (x, y) = (FieldBox.X + 12, FieldBox.Y + 292);
        Scene.Add(new Dial(ValueOf(Yaw)) { Box = new Box(x, y, 74, 98), Caption = "Yaw", IsCompass = true, Tip = "Turns the field to the left." });
        Scene.Add(new Dial(ValueOf(Pitch)) { Box = new Box(x + 82, y, 74, 98), Caption = "Pitch", IsCompass = true, Tip = "Tips the field's front." });
        Scene.Add(new Dial(ValueOf(Roll)) { Box = new Box(x + 164, y, 74, 98), Caption = "Roll", IsCompass = true, Tip = "Rolls the field." });
        Scene.Add(new Dial(ValueOf(OutputGain)) { Box = new Box(x + 250, y, 78, 98), Caption = "Gain", Tip = "Gain of all four outputs." });
    }

    private void AddTrims()
    {
        var (x, y, width) = (TrimsBox.X + 14, TrimsBox.Y + 36, TrimsBox.Width - 28);
        Scene.Add(new ChoiceBox(new ParameterValue(this, Host, TrimChoice) { IsOnOffer = choice => effect.IsOnOffer(TrimChoice, choice) })
        {
            Box = new Box(x, y, width, 28), Caption = "Set", Tip = "The trims that play: the session's choice, the levels as recorded, or a set by name.",
        });
        Scene.Add(new Segments(ValueOf(LineUpParameters.TrimsFrom), "Trim set", "Kept line-up")
        {
            Box = new Box(x, y + 36, width, 28), Tip = "Plays the set above, or the line-up that this project has kept.",
        });
        Scene.Add(new Switch(ValueOf(LevelMatch))
        {
            Box = new Box(x, y + 68, width, 24), Caption = "Match level of trims", Tip = "Takes the mean of the trims back, so that the field is as loud with any set.",
        });
        AddComparison(x, y + 104, width);
        Scene.Add(new ChoiceBox(ValueOf(Format)) { Box = new Box(x, TrimsBox.Y + 264, width, 26), Caption = "Format", Tip = "Order and scale of the four outputs." });
        Scene.Add(new ChoiceBox(ValueOf(CorrectionChoice))
        {
            Box = new Box(x, TrimsBox.Y + 294, width, 26), Caption = "Correction", Tip = "How far the capsules' spacing is made up for. The latency stays the same.",
        });
        for (var i = 0; i < Capsules; i++)
        {
            Scene.Add(new LevelMeter
            {
                Box = new Box(x + 24 + i * 46, TrimsBox.Y + 326, 28, 52), Reads = LevelShown.Of(Host, OutputLevel + i, effect.Sight.Peaks, Capsules + i),
                Name = $"Level of output {i + 1}", Tip = "RMS and peak of an output channel. A cross stays lit after clipping until it is clicked.",
            });
            var name = i;
            Scene.Add(new Label
            {
                Box = new Box(x + 18 + i * 46, TrimsBox.Y + 376, 40, 16), Says = () => OutputName(name), Tone = () => Tone.Soft, Size = 12, Align = Align.Centre,
            });
        }
    }

    private string OutputName(int output) => Host.Plain(Format) >= 0.5 ? FuMaNames[output] : AmbiXNames[output];

    private static readonly string[] AmbiXNames = ["W", "Y", "Z", "X"], FuMaNames = ["W", "X", "Y", "Z"];

    // Two sets, and one long key to go back and forth between them.
    private void AddComparison(float x, float y, float width)
    {
        Scene.Add(new ChoiceBox(new ParameterValue(this, Host, CompareParameters.First) { IsOnOffer = choice => effect.IsOnOffer(CompareParameters.First, choice) })
        {
            Box = new Box(x, y, width, 26), Caption = "A", Tip = "The first set to compare.",
        });
        Scene.Add(new ChoiceBox(new ParameterValue(this, Host, CompareParameters.Second) { IsOnOffer = choice => effect.IsOnOffer(CompareParameters.Second, choice) })
        {
            Box = new Box(x, y + 30, width, 26), Caption = "B", Tip = "The second set to compare.",
        });
        Scene.Add(new Segments(ValueOf(CompareParameters.Compare), "A", "B") { Box = new Box(x, y + 60, width, 32), Tip = "Plays the first or the second set. Enter or the space bar goes to the other." });
        Scene.Add(new Switch(ValueOf(CompareParameters.EqualLevel))
        {
            Box = new Box(x, y + 94, 130, 24), Caption = "Equal level", Tip = "Holds both sets at the same measured level, so that the louder one does not win.",
        });
        Scene.Add(new Readout(() => Host.Shown(CompareParameters.Added), 2, " dB")
        {
            Box = new Box(x + 136, y + 94, width - 136, 24), Name = "Equal level adds", Tip = "What equal level adds to the set that plays.",
        });
    }

    private void AddLineUp()
    {
        var (x, y) = (LineUpBox.X + 14, LineUpBox.Y);
        Scene.Add(new Switch(ValueOf(LineUpParameters.On))
        {
            Box = new Box(x + 84, y + 6, 92, 24), Caption = "Listen", Tip = "Listens to pink noise at the inputs, on all at once or on one after the other.",
        });
        Scene.Add(new Label
        {
            Box = new Box(x + 186, y + 8, 340, 20), HasSign = true, Says = () => States[(int)Host.Shown(LineUpParameters.State)],
            Tone = () => ToneOf((LineUpState)(int)Host.Shown(LineUpParameters.State)), Name = "Line-up state",
        });
        Scene.Add(new Label
        {
            Box = new Box(LineUpBox.Right - 174, y + 8, 160, 20), Align = Align.Right, Tone = () => Tone.Soft, Size = 12.5f,
            Says = () => Feeds[(int)Host.Shown(LineUpParameters.FedNow)], Name = "Line-up feed",
        });
        Scene.Add(new LineUpBand(Host)
        {
            Box = new Box(x, y + 36, LineUpBox.Width - 28, 104), Name = "Line-up", Tip = "Each gain against the reference, with the interval that holds it 95 times in 100. The shaded band is the tolerance.",
        });
        Scene.Add(new ChoiceBox(ValueOf(LineUpParameters.Reference))
        {
            Box = new Box(x, y + 146, 182, 28), Caption = "Reference", Tip = "The channel that the others are held against.",
        });
        Scene.Add(new NumberBox(ValueOf(LineUpParameters.Tolerance)) { Box = new Box(x + 188, y + 146, 138, 28), Caption = "Within ±", Tip = "How far a gain may be off." });
        Scene.Add(new PushButton("Keep", effect.KeepLineUp) { Box = new Box(x + 332, y + 146, 62, 28), Tip = "Keeps these trims in the host's project." });
        Scene.Add(new PushButton("Write to session", effect.WriteLineUpToSession)
        {
            Box = new Box(x + 400, y + 146, 132, 28), Tip = "Writes the kept line-up into the session file, as 'captureproc level' would.",
        });
        Scene.Add(new Label
        {
            Box = new Box(x + 538, y + 143, LineUpBox.Right - 10 - x - 538, 34), Size = 11.5f, Wraps = true, Tone = () => Tone.Soft,
            Says = () => LineUpWords.Outcomes[(int)Host.Shown(LineUpParameters.Outcome)], Name = "Line-up kept",
        });
    }

    private void AddMicrophone()
    {
        var (x, y, width) = (MicrophoneBox.X + 14, MicrophoneBox.Y + 32, MicrophoneBox.Width - 28);
        Scene.Add(new Segments(ValueOf(Source), "Session", "By hand") { Box = new Box(x, y, width, 26), Tip = "Where the build of the microphone comes from." });
        bySession.Add(Scene.Add(new ChoiceBox(new ParameterValue(this, Host, ArrayChoice.Index) { IsOnOffer = value => effect.IsOnOffer(ArrayChoice.Index, value) })
        {
            Box = new Box(x, y + 31, width, 26), Tip = "Which of the session's arrays is on this track.",
        }));
        for (var line = 0; line < microphone.Length; line++)
        {
            var at = line;
            bySession.Add(Scene.Add(new Label
            {
                Box = new Box(x + 2, y + 60 + 20 * line, width - 4, 20), Size = 12.5f, Tone = () => Tone.Soft, Says = () => microphone[at],
                Name = "Build of the microphone",
            }));
        }
        PushButton? preset = null;
        preset = Scene.Add(new PushButton("Preset …", () => ShowPresets(preset!))
        {
            Name = "Take a preset", Box = new Box(x + 118, MicrophoneBox.Y + 5, width - 118, 24), Tip = "Fills in order, radius, pattern and mount by hand.",
        });
        byHand.Add(Scene.Add(new ChoiceBox(ValueOf(Order)) { Box = new Box(x, y + 31, width, 26), Tip = "The capsule on each of the four channels." }));
        byHand.Add(Scene.Add(new NumberBox(ValueOf(Radius)) { Box = new Box(x, y + 62, 94, 26), Caption = "r", Tip = "From the middle to the capsules." }));
        byHand.Add(Scene.Add(new NumberBox(ValueOf(Pattern))
        {
            Box = new Box(x + 100, y + 62, width - 100, 26), Caption = "Pattern", Tip = "0 figure-eight, 0.5 cardioid, 1 omni.",
        }));
        byHand.Add(Scene.Add(new ChoiceBox(ValueOf(Mount)) { Box = new Box(x, y + 93, width, 26), Tip = "How the microphone hangs, stands or lies." }));
        Scene.Add(new Label
        {
            Box = new Box(x, y + 122, width, 22), HasSign = true, Size = 12, Says = () => ArrayShape.StatusNames[(int)Host.Shown(ArrayParameters.ArrayStatus)],
            Tone = () => Host.Shown(ArrayParameters.ArrayStatus) switch { < 0.5 => Tone.Good, < 1.5 => Tone.Doubt, _ => Tone.Bad }, Name = "Array status",
        });
    }

    private void ShowPresets(Control below)
    {
        var items = effect.Presets.Select(name => new MenuItem(name, () => effect.TakePreset(name))).ToList();
        Scene.TakeKeyboard();
        Scene.Show(new Menu(items, below.Box.X, below.Box.Bottom + 3));
    }

    // The two that are too long for their place, in fewer words.
    private static readonly string[] States =
    [
        .. LineUpWords.States.Select((text, state) => (LineUpState)state switch
        {
            LineUpState.Room => "Refused: this is a microphone in a room",
            LineUpState.SeparateNoises => "Refused: every channel has its own noise",
            _ => text,
        }),
    ];

    private static readonly string[] Feeds = [.. LineUpWords.Feeds.Select(feed => $"Noise on: {feed.ToLowerInvariant()}")];

    private static Tone ToneOf(LineUpState state) => state switch
    {
        LineUpState.Within => Tone.Good,
        LineUpState.Off or LineUpState.NoSignal => Tone.Soft,
        LineUpState.Listening or LineUpState.CannotTell => Tone.Doubt,
        _ => Tone.Bad,
    };
}
