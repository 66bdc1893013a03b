namespace CaptureProc.Vst3.Abi;

/// <summary>Where a controller tells its host of edits and of what has changed.</summary>
/// <remarks>Source: vst3_c_api.h, SDK 3.8.1 (ivsteditcontroller.h).</remarks>
public unsafe struct IComponentHandler
{
    public Vtbl* Table;

    public static Tuid Iid => new(0x93A0BEA3, 0x0BD045DB, 0x8E890B0C, 0xC1E46AC6);

    public struct Vtbl
    {
        public FUnknown.Vtbl Base;

        public delegate* unmanaged<void*, uint, int> BeginEdit;
        public delegate* unmanaged<void*, uint, double, int> PerformEdit;
        public delegate* unmanaged<void*, uint, int> EndEdit;
        public delegate* unmanaged<void*, int, int> RestartComponent;
    }
}
