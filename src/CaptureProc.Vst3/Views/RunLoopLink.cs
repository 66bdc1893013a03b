using System.Runtime.InteropServices;
using CaptureProc.Vst3.Abi;
using CaptureProc.Vst3.Com;

namespace CaptureProc.Vst3.Views;

/// <summary>A window's place in a Linux host's event loop: called when its descriptor can be read, and thirty times a second.</summary>
/// <remarks>
/// Thread: [main]. Disposing it ends the calls. The descriptor alone is not enough: what a request has brought along is
/// already in memory, and the descriptor stays quiet about it. So the timer looks as well.
/// </remarks>
internal sealed unsafe class RunLoopLink : ComObject, IDisposable
{
    /// <summary>33 ms: meters at thirty frames a second. The mouse draws when it moves.</summary>
    private const ulong TimerMilliseconds = 33;

    private static readonly InterfaceMap Map = new();
    private static readonly int EventSlot = Map.Add(BuildEventTable(), IEventHandler.Iid);
    private static readonly int TimerSlot = Map.Add(BuildTimerTable(), ITimerHandler.Iid);

    private readonly ComReference<IRunLoop> loop;
    private Action? turn;
    private bool started;

    private RunLoopLink(ComReference<IRunLoop> loop)
        : base(Map) => this.loop = loop;

    /// <summary>Null where the host's frame has no run loop.</summary>
    public static RunLoopLink? TryMake(IPlugFrame* frame) =>
        frame != null && ComReference<IRunLoop>.Query(frame, IRunLoop.Iid) is { } loop ? new RunLoopLink(loop) : null;

    public void Start(int fileDescriptor, Action act)
    {
        turn = act;
        started = true;
        var to = loop.Pointer;
        to->Table->RegisterEventHandler(to, (IEventHandler*)Pointer(EventSlot), fileDescriptor);
        to->Table->RegisterTimer(to, (ITimerHandler*)Pointer(TimerSlot), TimerMilliseconds);
    }

    public void Dispose()
    {
        turn = null;
        var to = loop.Pointer;
        if (started)
        {
            to->Table->UnregisterTimer(to, (ITimerHandler*)Pointer(TimerSlot));
            to->Table->UnregisterEventHandler(to, (IEventHandler*)Pointer(EventSlot));
        }
        loop.Dispose();
        Release();
    }

    private static IEventHandler.Vtbl* BuildEventTable()
    {
        var table = InterfaceMap.NewTable<IEventHandler.Vtbl>();
        table->Base = UnknownTable;
        table->OnFdIsSet = &OnFdIsSet;
        return table;
    }

    private static ITimerHandler.Vtbl* BuildTimerTable()
    {
        var table = InterfaceMap.NewTable<ITimerHandler.Vtbl>();
        table->Base = UnknownTable;
        table->OnTimer = &OnTimer;
        return table;
    }

    [UnmanagedCallersOnly]
    private static void OnFdIsSet(void* self, int fileDescriptor) => Turn(self);

    [UnmanagedCallersOnly]
    private static void OnTimer(void* self) => Turn(self);

    private static void Turn(void* self)
    {
        try
        {
            From<RunLoopLink>(self).turn?.Invoke();
        }
        catch
        {
            // A frame is lost; an exception in the host's loop would lose the host.
        }
    }
}
