namespace CaptureProc.Vst3.Abi;

/// <summary>The host as a plug-in sees it: a name, and a maker of messages.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivsthostapplication.h).</remarks>
public unsafe struct IHostApplication
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x58E595CC, 0xDB2D4969, 0x8B6AAF8C, 0x36A664E5);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, char*, int> GetName;
        public delegate* unmanaged<void*, Tuid*, Tuid*, void**, int> CreateInstance;
    }
}
