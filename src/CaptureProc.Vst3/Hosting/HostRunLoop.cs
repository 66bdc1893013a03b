using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Hosting;

/// <summary>The frame round a view in this host, and the event loop that the view lives by on Linux.</summary>
/// <remarks>Thread: [main], the one that calls <see cref="RunFor"/>. Handlers are lent, as the interface says.</remarks>
public sealed unsafe partial class HostRunLoop : ComObject
{
    private const short PollIn = 1;

    private static readonly InterfaceMap Map = new();
    private static readonly int FrameSlot = Map.Add(BuildFrameTable(), IPlugFrame.Iid);
    private static readonly int LoopSlot = Map.Add(BuildLoopTable(), IRunLoop.Iid);

    private readonly List<(nint Handler, int FileDescriptor)> watched = [];
    private readonly List<Timer> timers = [];

    public HostRunLoop()
        : base(Map)
    {
    }

    /// <summary>Handlers and timers that have not been taken back.</summary>
    public int RegisteredCount => watched.Count + timers.Count;

    /// <summary>Hears that the view wants another size; false refuses.</summary>
    public Func<int, int, bool>? OnResize { get; set; }

    internal IPlugFrame* Frame => (IPlugFrame*)Pointer(FrameSlot);

    /// <summary>Lets things happen for a while, or until <paramref name="isDone"/> says so.</summary>
    public void RunFor(TimeSpan time, Func<bool>? isDone = null)
    {
        var end = Environment.TickCount64 + (long)time.TotalMilliseconds;
        do
        {
            if (isDone?.Invoke() == true)
                return;
            Turn(Math.Max(0, end - Environment.TickCount64));
        }
        while (Environment.TickCount64 < end);
    }

    private void Turn(long mostMilliseconds)
    {
        var wait = mostMilliseconds;
        foreach (var timer in CollectionsMarshal.AsSpan(timers))
            wait = Math.Min(wait, Math.Max(0, timer.Next - Environment.TickCount64));
        var descriptors = stackalloc Descriptor[Math.Max(1, watched.Count)];
        for (var i = 0; i < watched.Count; i++)
            descriptors[i] = new Descriptor { FileDescriptor = watched[i].FileDescriptor, Events = PollIn, Returned = 0 };
        var count = watched.Count;
        // A wait that a signal breaks off has found nothing; the next turn waits again.
        _ = Poll(descriptors, (nuint)count, (int)wait);
        // A handler may take itself back or bring another: what follows looks at the lists afresh each time.
        for (var i = 0; i < count && i < watched.Count; i++)
            if (descriptors[i].Returned != 0 && watched[i].FileDescriptor == descriptors[i].FileDescriptor)
                ((IEventHandler*)watched[i].Handler)->Table->OnFdIsSet((void*)watched[i].Handler, watched[i].FileDescriptor);
        for (var i = 0; i < timers.Count; i++)
        {
            var timer = timers[i];
            if (timer.Next > Environment.TickCount64)
                continue;
            timer.Next = Environment.TickCount64 + timer.Milliseconds;
            ((ITimerHandler*)timer.Handler)->Table->OnTimer((void*)timer.Handler);
        }
    }

    private static IPlugFrame.Vtbl* BuildFrameTable()
    {
        var table = InterfaceMap.NewTable<IPlugFrame.Vtbl>();
        table->Base = UnknownTable;
        table->ResizeView = &ResizeView;
        return table;
    }

    private static IRunLoop.Vtbl* BuildLoopTable()
    {
        var table = InterfaceMap.NewTable<IRunLoop.Vtbl>();
        table->Base = UnknownTable;
        table->RegisterEventHandler = &RegisterEventHandler;
        table->UnregisterEventHandler = &UnregisterEventHandler;
        table->RegisterTimer = &RegisterTimer;
        table->UnregisterTimer = &UnregisterTimer;
        return table;
    }

    [UnmanagedCallersOnly]
    private static int ResizeView(void* self, IPlugView* view, ViewRect* size)
    {
        try
        {
            var loop = From<HostRunLoop>(self);
            if (size == null || loop.OnResize?.Invoke(size->Right - size->Left, size->Bottom - size->Top) != true)
                return Result.False;
            return view->Table->OnSize(view, size);
        }
        catch
        {
            return Result.InternalError;
        }
    }

    [UnmanagedCallersOnly]
    private static int RegisterEventHandler(void* self, IEventHandler* handler, int fileDescriptor)
    {
        From<HostRunLoop>(self).watched.Add(((nint)handler, fileDescriptor));
        return Result.Ok;
    }

    [UnmanagedCallersOnly]
    private static int UnregisterEventHandler(void* self, IEventHandler* handler) =>
        From<HostRunLoop>(self).watched.RemoveAll(w => w.Handler == (nint)handler) > 0 ? Result.Ok : Result.False;

    [UnmanagedCallersOnly]
    private static int RegisterTimer(void* self, ITimerHandler* handler, ulong milliseconds)
    {
        From<HostRunLoop>(self).timers.Add(new Timer { Handler = (nint)handler, Milliseconds = (long)milliseconds });
        return Result.Ok;
    }

    [UnmanagedCallersOnly]
    private static int UnregisterTimer(void* self, ITimerHandler* handler) =>
        From<HostRunLoop>(self).timers.RemoveAll(t => t.Handler == (nint)handler) > 0 ? Result.Ok : Result.False;

    [LibraryImport("libc", EntryPoint = "poll")]
    private static partial int Poll(Descriptor* descriptors, nuint count, int milliseconds);

    private sealed class Timer
    {
        public required nint Handler { get; init; }

        public required long Milliseconds { get; init; }

        public long Next { get; set; }
    }

    /// <summary>struct pollfd.</summary>
    private struct Descriptor
    {
        public int FileDescriptor;
        public short Events;
        public short Returned;
    }
}
