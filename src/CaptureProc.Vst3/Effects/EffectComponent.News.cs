using CaptureProc.Vst3.Abi;

namespace CaptureProc.Vst3.Effects;

// News for the host: names or values that it has asked for are others now. They come up on any thread, and a host wants to hear
// of them on its own thread of the user interface. There is no way to get there unasked, so they wait for the next call from
// there that is a safe place: an edit, a text that is asked for, the timer of a window. Not while a state is loaded or
// values are read one by one: hosts hold locks then that restartComponent takes again.
internal sealed unsafe partial class EffectComponent
{
    private int news;
    private int uiThread = Environment.CurrentManagedThreadId;

    /// <summary>Leaves news for the host. [any]</summary>
    internal void Leave(RestartFlags flags) => Interlocked.Or(ref news, (int)flags);

    /// <summary>Tells the host what has come up, if this is the thread of its user interface. Some hosts echo values from others.</summary>
    private void TellNewsHere()
    {
        if (news != 0 && Environment.CurrentManagedThreadId == uiThread)
            TellNews();
    }

    /// <summary>The same where the caller knows that it is on that thread. [main]</summary>
    internal void TellNews()
    {
        if (handler != null && Interlocked.Exchange(ref news, 0) is not 0 and var flags)
            handler.Pointer->Table->RestartComponent(handler.Pointer, flags);
    }
}
