namespace CaptureProc.Vst3.Views;

/// <summary>A child window on one platform: pixels on the screen, and what happens to it.</summary>
/// <remarks>Thread: [main]. Nothing in it throws after it has been made: a host may take the parent away at any time.</remarks>
internal abstract class NativeWindow : IDisposable
{
    /// <summary>Who hears what happens in the window.</summary>
    public required EffectView View { get; init; }

    /// <summary>Tells the pixels to draw into to the view; called at the beginning and after each change of size.</summary>
    public abstract void Resize(int width, int height);

    /// <summary>Takes what has happened, then draws if there is anything to draw and anybody can see it.</summary>
    public abstract void Turn();

    public abstract void UseKeyboard(bool take);

    /// <summary>Shows the mouse's pointer like this while it is over the window.</summary>
    public abstract void ShowPointer(ViewPointer shape);

    public abstract void Dispose();
}
