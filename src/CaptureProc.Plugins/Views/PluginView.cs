using CaptureProc.Screen;
using CaptureProc.Screen.Controls;
using CaptureProc.Screen.Drawing;
using CaptureProc.Screen.Input;
using CaptureProc.Vst3.Effects;
using CaptureProc.Vst3.Views;

namespace CaptureProc.Plugins.Views;

/// <summary>What the windows of all plug-ins have in common: a scene between the binding and the controls, sizes, contrast, a menu.</summary>
/// <remarks>Thread: [main].</remarks>
internal abstract class PluginView : EffectView
{
    private const double Smallest = 0.75, Largest = 2;

    private WindowPreferences preferences;
    private readonly Func<int> namesVersion;
    private readonly PixelRect[] parts = new PixelRect[64];
    private int seenPreferences = -1;
    private bool isOpen;

    /// <param name="host">The values of the parameters.</param>
    /// <param name="namesVersion">Another number whenever choices are called otherwise or other values are shown; asked at every frame.</param>
    /// <param name="preferences">How this user likes windows.</param>
    /// <param name="width">Of the layout.</param>
    /// <param name="height">Of the layout.</param>
    protected PluginView(EffectHost host, Func<int> namesVersion, WindowPreferences preferences, float width, float height)
    {
        (Host, this.preferences) = (host, preferences);
        this.namesVersion = namesVersion;
        Scene = new Scene(width, height)
        {
            UseKeyboard = take => Window?.UseKeyboard(take), UsePointer = shape => Window?.ShowPointer(PointerOf(shape)), WindowMenu = WindowItems, DrawBackground = DrawBackground,
        };
    }

    /// <summary>The controls and how they are drawn.</summary>
    public Scene Scene { get; }

    /// <summary>How this user likes windows; those of the process unless a test brings its own.</summary>
    internal WindowPreferences Preferences
    {
        set => (preferences, seenPreferences) = (value, -1);
    }

    protected EffectHost Host { get; }

    public override (int Width, int Height) NaturalSize => ((int)Scene.Width, (int)Scene.Height);

    public override (double Smallest, double Largest) ScaleRange => (Smallest, Largest);

    public override double PreferredScale => preferences.Size;

    public override void UseSurface(PixelSurface surface)
    {
        Scene.UseSurface(surface.Pixels, surface.Width, surface.Height, surface.StrideBytes);
        if (isOpen)
            return;
        isOpen = true;
        Watch(true);
    }

    public override void LeaveSurface()
    {
        Scene.LeaveSurface();
        if (!isOpen)
            return;
        isOpen = false;
        Watch(false);
    }

    public override ReadOnlySpan<PixelRect> Draw(long milliseconds)
    {
        if (preferences.Version != seenPreferences)
        {
            seenPreferences = preferences.Version;
            Scene.Palette = preferences.HasHighContrast ? Palette.HighContrast : Palette.Usual;
        }
        NamesVersion = namesVersion();
        Prepare(milliseconds);
        var drawn = Scene.Draw(milliseconds);
        for (var i = 0; i < drawn.Length; i++)
            parts[i] = new PixelRect(drawn[i].X, drawn[i].Y, drawn[i].Width, drawn[i].Height);
        return parts.AsSpan(0, drawn.Length);
    }

    public override void OnPointer(PointerInput input)
    {
        var at = At(input.X, input.Y, input.Modifiers);
        switch (input.Action)
        {
            case PointerAction.Press:
                Scene.OnPress(at, input.Button);
                break;
            case PointerAction.Release when input.Button == 1:
                Scene.OnRelease(at);
                break;
            case PointerAction.Move:
                Scene.OnMove(at);
                break;
            case PointerAction.Leave:
                Scene.OnLeave();
                break;
        }
    }

    public override void OnWheel(int x, int y, double steps, ViewModifiers modifiers) => Scene.OnWheel(At(x, y, modifiers), steps);

    public override bool OnKey(KeyInput input) => Scene.OnKey(
        new KeyPress(KeyOf(input.Key), input.Character, (input.Modifiers & ViewModifiers.Shift) != 0, (input.Modifiers & ViewModifiers.Control) != 0));

    public override void OnFocus(bool hasKeyboard) => Scene.OnFocus(hasKeyboard);

    public override void Dispose()
    {
        LeaveSurface();
        Scene.Dispose();
    }

    /// <summary>The host's menu for a parameter, at a place of the layout; false where it has none.</summary>
    public bool ShowHostMenu(int parameter, float x, float y)
    {
        var (left, top) = Scene.ToPixels(x, y);
        return Window?.ShowHostMenu(parameter, left, top) == true;
    }

    /// <summary>Grows, or at least changes, when choices are called otherwise.</summary>
    public int NamesVersion { get; private set; }

    /// <summary>Begins or ends to gather on the audio thread what only a window shows.</summary>
    protected abstract void Watch(bool on);

    /// <summary>Before each frame.</summary>
    protected virtual void Prepare(long milliseconds)
    {
    }

    protected abstract void DrawBackground(Canvas canvas, Palette palette);

    /// <summary>A shown value of a list in words; the same string for the same value, so that asking costs nothing.</summary>
    protected string WordOf(int index) => Host.Table[index].Names![(int)Host.Shown(index)];

    protected ParameterValue ValueOf(int index) => new(this, Host, index);

    /// <summary>A field with a heading, on which controls stand.</summary>
    protected static void DrawPanel(Canvas canvas, Palette palette, Box box, ReadOnlySpan<char> heading)
    {
        canvas.FillRound(box, 8, palette.Panel);
        canvas.FrameRound(box, 8, palette.LineWidth, palette.Edge);
        if (heading.IsEmpty)
            return;
        canvas.Fill(new Box(box.X + 14, box.Y + 11, 3, 12), palette.Hand);
        canvas.Text(heading, box.X + 23, box.Y + 17, 13, palette.Ink, isBold: true);
    }

    protected void ShowWindowMenu(Control below) => Scene.Show(new Menu([.. WindowItems()], below.Box.X, below.Box.Bottom + 3));

    private IEnumerable<MenuItem> WindowItems()
    {
        foreach (var size in WindowPreferences.Sizes)
            yield return new MenuItem($"Window at {100 * size:0} %", () => Resize(size), size == preferences.Size);
        yield return new MenuItem("High contrast", () => preferences.HasHighContrast = !preferences.HasHighContrast, preferences.HasHighContrast);
    }

    private void Resize(double size)
    {
        preferences.Size = size;
        Window?.RequestPreferredSize();
    }

    private static ViewPointer PointerOf(PointerShape shape) => shape switch
    {
        PointerShape.Press => ViewPointer.Hand,
        PointerShape.Turn => ViewPointer.UpDown,
        PointerShape.Grab => ViewPointer.AllWays,
        PointerShape.Text => ViewPointer.Text,
        _ => ViewPointer.Arrow,
    };

    private static Key KeyOf(ViewKey key) => key switch
    {
        ViewKey.Tab => Key.Tab,
        ViewKey.Enter => Key.Enter,
        ViewKey.Escape => Key.Escape,
        ViewKey.Backspace => Key.Backspace,
        ViewKey.Delete => Key.Delete,
        ViewKey.Left => Key.Left,
        ViewKey.Right => Key.Right,
        ViewKey.Up => Key.Up,
        ViewKey.Down => Key.Down,
        ViewKey.Home => Key.Home,
        ViewKey.End => Key.End,
        ViewKey.PageUp => Key.PageUp,
        ViewKey.PageDown => Key.PageDown,
        ViewKey.Menu => Key.Menu,
        _ => Key.Character,
    };

    private MousePoint At(int x, int y, ViewModifiers modifiers)
    {
        var (left, top) = Scene.FromPixels(x, y);
        return new MousePoint(left, top, (modifiers & (ViewModifiers.Shift | ViewModifiers.Control)) != 0);
    }
}
