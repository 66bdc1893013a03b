using CaptureProc.Plugins.Work;

namespace CaptureProc.Plugins.Arrays.LineUp;

/// <summary>Takes a line-up to its session file with the worker of files, and says what became of it.</summary>
/// <remarks>It goes on when the plug-in is closed meanwhile: a hand has asked for it.</remarks>
internal sealed class LineUpPost : ISharedWork
{
    private readonly LineUpDelivery delivery;
    private readonly Action<LineUpOutcome> tell;
    private IDisposable? atWork;

    private LineUpPost(LineUpDelivery delivery, Action<LineUpOutcome> tell) => (this.delivery, this.tell) = (delivery, tell);

    public static void Send(SharedWorker files, LineUpDelivery delivery, Action<LineUpOutcome> tell)
    {
        var post = new LineUpPost(delivery, tell);
        // The worker may look before Register has returned; then it leaves the post for its next look.
        Volatile.Write(ref post.atWork, files.Register(post));
        files.Nudge();
    }

    public void Look()
    {
        if (Volatile.Read(ref atWork) is not { } mine || delivery.Try() is not { } outcome)
            return;
        mine.Dispose();
        tell(outcome);
    }
}
