namespace CaptureProc.Vst3.Views;

/// <summary>What the author of a plug-in writes to have a window: it draws into pixels and takes the mouse and the keys.</summary>
/// <remarks>
/// Thread: [main], the host's UI thread, all of it. Drawing in steady state allocates nothing on the managed heap.
/// The binding owns the window and the pixels. A host may give any size: the view letterboxes what it cannot use.
/// </remarks>
public abstract class EffectView : IDisposable
{
    /// <summary>The window round the view, while it is attached.</summary>
    public IViewWindow? Window { get; internal set; }

    /// <summary>Width and height at scale 1, in pixels; only their ratio matters at others.</summary>
    public abstract (int Width, int Height) NaturalSize { get; }

    /// <summary>How small and how large the user may have it, as a factor.</summary>
    public abstract (double Smallest, double Largest) ScaleRange { get; }

    /// <summary>The size the user has asked for, as a factor.</summary>
    public abstract double PreferredScale { get; }

    /// <summary>From now on this is where to draw; all of it has to be drawn afresh.</summary>
    public abstract void UseSurface(PixelSurface surface);

    /// <summary>Lets go of the surface.</summary>
    public abstract void LeaveSurface();

    /// <summary>Draws what has changed and tells where; empty when nothing has.</summary>
    /// <param name="milliseconds">A clock that only runs forward.</param>
    public abstract ReadOnlySpan<PixelRect> Draw(long milliseconds);

    public abstract void OnPointer(PointerInput input);

    /// <summary>Steps of the wheel, positive away from the user.</summary>
    public abstract void OnWheel(int x, int y, double steps, ViewModifiers modifiers);

    /// <summary>False for a key that the view has no use for; the host gets it then.</summary>
    public abstract bool OnKey(KeyInput input);

    /// <summary>The window has the keyboard, or has lost it.</summary>
    public abstract void OnFocus(bool hasKeyboard);

    public abstract void Dispose();
}

/// <summary>What a view can ask of its window.</summary>
public interface IViewWindow
{
    /// <summary>Asks the host for the size that the view now prefers.</summary>
    void RequestPreferredSize();

    /// <summary>Takes the keyboard, or gives it back to the host.</summary>
    void UseKeyboard(bool take);

    /// <summary>Shows the mouse's pointer like this from now on, while it is over the window.</summary>
    void ShowPointer(ViewPointer shape);

    /// <summary>Shows the host's own menu for a parameter; false where the host has none.</summary>
    bool ShowHostMenu(int parameter, int x, int y);
}
