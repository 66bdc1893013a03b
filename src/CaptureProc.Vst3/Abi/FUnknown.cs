namespace CaptureProc.Vst3.Abi;

/// <summary>The root of every interface: asking for another one, and counting references.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (funknown.h).</remarks>
public unsafe struct FUnknown
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x00000000, 0x00000000, 0xC0000000, 0x00000046);

    public struct Vtbl
    {
        public delegate* unmanaged<void*, Tuid*, void**, int> QueryInterface;
        public delegate* unmanaged<void*, uint> AddRef;
        public delegate* unmanaged<void*, uint> Release;
    }
}
