namespace CaptureProc.Vst3.Abi;

/// <summary>A Linux host's event loop: it watches descriptors and keeps timers for a plug-in, on its own UI thread.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (iplugview.h, namespace Linux).</remarks>
public unsafe struct IRunLoop
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x18C35366, 0x97764F1A, 0x9C5B8385, 0x7A871389);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, IEventHandler*, int, int> RegisterEventHandler;
        public delegate* unmanaged<void*, IEventHandler*, int> UnregisterEventHandler;
        public delegate* unmanaged<void*, ITimerHandler*, ulong, int> RegisterTimer;
        public delegate* unmanaged<void*, ITimerHandler*, int> UnregisterTimer;
    }
}

/// <summary>Called by the run loop when a descriptor can be read.</summary>
public unsafe struct IEventHandler
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x561E65C9, 0x13A0496F, 0x813A2C35, 0x654D7983);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, int, void> OnFdIsSet;
    }
}

/// <summary>Called by the run loop again and again.</summary>
public unsafe struct ITimerHandler
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x10BDD94F, 0x41424774, 0x821FAD8F, 0xECA72CA9);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, void> OnTimer;
    }
}
