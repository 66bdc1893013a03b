namespace CaptureProc.Vst3.Abi;

/// <summary>The notes of one block; here only so that a host can hand over an empty list.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivstevents.h).</remarks>
public unsafe struct IEventList
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x3A2C4214, 0x346349FE, 0xB2C4F397, 0xB9695A44);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, int> GetEventCount;
        public delegate* unmanaged<void*, int, void*, int> GetEvent;
        public delegate* unmanaged<void*, void*, int> AddEvent;
    }
}
